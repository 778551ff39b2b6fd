// Drying to a loss or to a water content, over hours, days and weeks: the empty trays are weighed,
// then the loaded ones, then all of them again whenever the cook puts them on the scale; pieces
// that hang are weighed as they are. Nobody types; the daemon may be off at night. How warm it is
// there is watched as where something stands. What a weigh-in makes of its loads is in
// dry_weigh_in.cpp.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "daemon/batch/operation.hpp"
#include "daemon/batch/place.hpp"
#include "daemon/weighing/loads.hpp"

namespace maslin::batch {

class Dry final : public Operation {
 public:
  using Operation::Operation;
  void begin(Desk& desk) override;
  void room_changed(Desk& desk) override;
  void scale_changed(Desk& desk, ScaleDesk& scale, const weighing::PanChange& change) override;
  bool take_press(Desk& desk) override;
  void ok(Desk& desk) override;
  std::optional<proto::Trouble> refuses_no(const Desk& desk) const override;
  void no(Desk& desk) override;
  std::optional<proto::Trouble> refuses_accept(const Desk& desk) const override;
  void accept(Desk& desk, const std::string& reason) override;
  std::optional<proto::Trouble> refuses_eaten(const Desk& desk,
                                              std::int64_t mass_ug) const override;
  void eaten(Desk& desk, std::int64_t mass_ug) override;
  void amended(Desk& desk) override;
  void time_passed(Desk& desk) override;
  void unwatched(Desk& desk) override;
  void unwatched_scale(Desk& desk, ScaleDesk& scale) override;
  std::optional<std::int64_t> deadline_ms() const override;
  bool takes_days() const override { return true; }
  bool weighs_in(const Desk& desk, const ScaleDesk& one) const override;
  bool weighs_now(const ScaleDesk&) const override {
    return stage_ != Stage::drying || loads_.on() || loads_.taken().size() > 0;
  }
  void say_again(Desk& desk) override;
  void describe(const Desk& desk, proto::BatchStatus& status) const override;

 private:
  enum class Stage { by_eye, empties, loading, pieces, drying };
  // What an ok answers beside the step itself.
  enum class Asks { nothing, missing, lighter, heavier, empty };

  // One weigh-in, not yet counted.
  struct Weighed {
    std::int64_t net_ug = 0;
    std::int64_t standard_uncertainty_ug = 0;
    std::int64_t guard_ug = 0;  // 5 % of the errors are larger, on each side
    std::int64_t loads = 0;
    int device = -1;
    std::vector<std::int64_t> loads_ug;  // gross, where each tray was a load of its own
    std::int64_t less_ug = 0;            // lighter: than drying alone would have left it
  };

  const ScaleDesk* scale(const Desk& desk) const;
  void take_load(Desk& desk, ScaleDesk& scale);
  std::size_t trays_in(const Desk& desk, std::int64_t gross_ug) const;
  bool is_tray(const Desk& desk, std::int64_t gross_ug) const;
  std::size_t seen(const Desk& desk) const;
  Weighed weigh(const Desk& desk, const ScaleDesk& scale) const;
  std::int64_t less_on_one_tray(const Desk& desk, const Weighed& weighed) const;
  void go_without(Desk& desk);
  void leave_unanswered(Desk& desk);
  static void take_out(Desk& desk, const Weighed& weighed);
  void loaded(Desk& desk, const Weighed& weighed);
  void weighed_in(Desk& desk, Weighed weighed);
  bool doubt(Desk& desk, Weighed& weighed);
  bool all_gone(Desk& desk, const Weighed& weighed);
  void by_the_eye(Desk& desk);
  void count(Desk& desk, const Weighed& weighed);
  void judge(Desk& desk, const Weighed& weighed);
  void ask(Desk& desk, Asks what, const char* cue, std::string text);
  std::int64_t every_ms(const Desk& desk) const;
  void call_next(Desk& desk, std::int64_t in_ms);
  void say_late(Desk& desk);
  static void give_up(Desk& desk);
  void hold_late(Desk& desk);
  void end(Desk& desk, const char* evidence);
  void end_if_quiet(Desk& desk);
  bool hung(const Desk& desk) const { return planned(desk).hung; }
  std::string loads_word(const Desk& desk, std::size_t count) const;
  std::string forecast_words(const Desk& desk) const;
  std::int64_t booked_ug(const Desk& desk) const;
  bool awaited(const Desk& desk) const;
  void emit_weigh_in(Desk& desk, const Weighed& weighed) const;

  Place place_;
  std::string ended_by_;  // dry by this evidence, and the place still asks something
  Stage stage_ = Stage::empties;
  Asks asks_ = Asks::nothing;
  weighing::Loads loads_;
  std::int64_t began_ms_ = 0;  // when it was loaded
  std::int64_t eaten_ug_ = 0;  // told or seen since the last weigh-in
  std::optional<Weighed> doubted_;
  bool denied_ = false;  // it was lighter than drying makes it, and nothing was taken out
  std::optional<std::int64_t> dry_since_ms_;  // dry by a first weigh-in
  std::optional<std::int64_t> missing_ms_;    // asked then for the rest of the loads
  std::optional<std::int64_t> forget_ms_;     // the loads so far are no weigh-in
  std::optional<std::int64_t> call_ms_;       // the next weigh-in is called for
  std::optional<std::int64_t> late_ms_;       // the longest time is over
  std::int64_t called_ms_ = 0;
  bool late_ = false;
  std::string late_what_;
  bool again_ = false;  // dried before, and taken up again
};

}  // namespace maslin::batch
