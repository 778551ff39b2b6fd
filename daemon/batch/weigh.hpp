// The weighing operation: one ingredient after the other against its band, on whichever scale the
// cook uses.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "daemon/batch/limits.hpp"
#include "daemon/batch/operation.hpp"
#include "daemon/batch/over_pour.hpp"
#include "daemon/weighing/stop.hpp"
#include "daemon/weighing/uncertainty.hpp"

namespace maslin::batch {

// As Counts says it: neither too much nor too little of it is ever accepted.
inline constexpr const char* curing_salt = "curing salt";

class Weigh final : public Operation {
 public:
  Weigh(const Desk& desk, int index);

  void begin(Desk& desk) override;
  void scale_changed(Desk& desk, ScaleDesk& scale, const weighing::PanChange& change) override;
  std::optional<proto::Trouble> refuses_ok(const Desk& desk) const override;
  void ok(Desk& desk) override;
  std::optional<proto::Trouble> refuses_accept(const Desk& desk) const override;
  void accept(Desk& desk, const std::string& reason) override;
  bool take_press(Desk& desk) override;
  std::optional<proto::Trouble> refuses_no(const Desk& desk) const override;
  void no(Desk& desk) override;
  void amended(Desk& desk) override;
  void unwatched_scale(Desk& desk, ScaleDesk& scale) override;
  std::optional<int> goes_back(const Desk&) const override { return goes_on_with_; }
  void say_again(Desk& desk) override;
  bool needs(const Desk& desk, proto::Role role) const override;
  void describe(const Desk& desk, proto::BatchStatus& status) const override;

 private:
  // What stands on the scale for the current ingredient.
  enum class Stand { waiting, pouring, short_of, over, undecided };
  // The ingredient before, as long as a late spoonful may still belong to it.
  struct Before {
    std::string name;
    std::int64_t net_ug = 0;
    std::int64_t good_at_ms = 0;
    std::uint16_t device = 0;
    proto::Weighing weighing;
  };

  const proto::PlannedIngredient& current(const Desk& desk) const;
  bool by_measure(const Desk& desk) const { return current(desk).check != "weigh"; }
  void begin_ingredient(Desk& desk);
  void announce(Desk& desk);
  void follow_pour(Desk& desk, ScaleDesk& scale);
  void judge(Desk& desk, ScaleDesk& scale);
  void judge_lead(Desk& desk, ScaleDesk& scale, std::int64_t net_ug);
  bool take_late_spoonful(Desk& desk, ScaleDesk& scale, std::int64_t change_ug);
  std::int64_t aim_of_pour(const Desk& desk) const;
  void begin_stop(const Desk& desk, const std::string& ingredient, std::int64_t aim_ug);
  std::string as_it_stands(const Desk& desk, const ScaleDesk& scale) const;
  void learn_stop(Desk& desk, std::int64_t net_ug, std::int64_t interval_ug);
  bool return_to_before(Desk& desk, ScaleDesk& scale);
  bool take_back(Desk& desk, ScaleDesk& scale, const weighing::Move& move);
  const proto::PlannedIngredient* came_with(const Desk& desk, std::int64_t net_ug) const;
  bool take_both(Desk& desk, ScaleDesk& scale, const proto::Weighing& weighing);
  void book_both(Desk& desk, ScaleDesk& scale);
  bool correct_before(Desk& desk, const ScaleDesk& scale, std::int64_t change_ug,
                      const std::string& why);
  void finish_lead(Desk& desk, ScaleDesk& scale);
  void finish_ingredient(Desk& desk, const proto::Weighing& weighing, const proto::Verdict& verdict,
                         std::string cue_text);
  void go_on_or_mend(Desk& desk);
  void judge_mending(Desk& desk, ScaleDesk& scale, std::int64_t net_ug);
  proto::Weighing book_addition(Desk& desk, const ScaleDesk& scale, std::int64_t net_ug);
  std::string so_much(const Desk& desk, std::int64_t add_ug, const std::string& what) const;
  bool is_weak(const Desk& desk) const;
  std::string how_to_mend(const Desk& desk, std::int64_t add_ug) const;
  void say_missing(Desk& desk, const ScaleDesk& scale, std::int64_t missing_ug);
  void say_mending(Desk& desk, std::int64_t missing_ug);
  proto::Verdict with_addition(const Desk& desk, const ScaleDesk& scale,
                               proto::Weighing& weighing) const;
  void judge_top_up(Desk& desk, ScaleDesk& scale, std::int64_t net_ug);
  std::int64_t portion_ug(const Desk& desk) const;
  std::string portions_text(const Desk& desk, std::int64_t portion_ug) const;
  bool take_portion(Desk& desk, const proto::Weighing& weighing);
  void ask_residue(Desk& desk, const ScaleDesk& scale, std::int64_t stuck_ug);
  void take_residue(Desk& desk, const ScaleDesk& scale);
  void accept_top_up(Desk& desk, const std::string& reason);
  std::optional<RatioShort> next_mending(Desk& desk);
  void plan_top_ups_anew(Desk& desk);
  void say_over(Desk& desk, ScaleDesk& scale, const proto::Weighing& weighing, bool undecided);
  bool offers() const { return offered_ < ways_.size(); }
  void offer(Desk& desk, std::string text);
  bool offer_stands(const ScaleDesk& scale) const;
  std::string ends_when(const Desk& desk) const;
  void record_way(Desk& desk, std::size_t taken) const;
  void record_taken_out(Desk& desk, std::int64_t net_ug) const;
  void take_way(Desk& desk, ScaleDesk& scale);
  void make_anew(Desk& desk, ScaleDesk& scale, const Way& way);
  void forget_over();
  void say_trouble(Desk& desk, const weighing::PanChange& change);
  void say_zero(Desk& desk, ScaleDesk& scale);
  proto::Weighing weighing_of(const Desk& desk, const ScaleDesk& scale, std::int64_t net_ug) const;
  weighing::NetBudget budget(const Desk& desk, const ScaleDesk& scale, std::int64_t net_ug) const;
  proto::Verdict verdict_of(const Desk& desk, const ScaleDesk& scale, std::int64_t net_ug) const;
  void keep(Desk& desk, const proto::Weighing& weighing, const proto::Verdict& verdict) const;
  ScaleDesk* active(Desk& desk) const;
  const ScaleDesk* active(const Desk& desk) const;

  std::vector<std::string> names_;
  std::size_t at_ = 0;
  Stand stand_ = Stand::waiting;
  std::uint16_t active_device_ = 0;
  bool lead_asked_ = false;
  bool zero_key_asked_ = false;
  std::int64_t lift_said_ms_ = 0;
  bool clear_said_ = false;
  bool stuck_said_ = false;
  bool both_asked_ = false;      // whether two ingredients came in at once
  std::int64_t residue_ug_ = 0;  // asked about: left in the same bowl, or another bowl; 0: not
  std::int64_t said_ms_ = 0;     // of the last "more"
  std::int64_t stop_said_ms_ = 0;
  std::int64_t said_live_ug_ = 0;  // of the last Progress
  bool said_at_rest_ = false;      // the same
  std::int64_t vessel_ug_ = 0;     // the last empty one that came onto a pan; 0: none yet
  std::int64_t said_net_ug_ = 0;   // the net that the last "more" or "over" spoke of
  std::optional<Before> before_;
  std::optional<RatioShort> mending_;
  weighing::PourHabits stop_;
  // The over-pour that stands, the ladder out of it, and the rung that an ok takes.
  OverPour over_;
  std::vector<Way> ways_;
  std::size_t offered_ = 0;
  bool pressed_ = false;  // the pan, for what is offered; it counts once the scale rests again
  std::vector<plan::TopUp> top_ups_;  // of the batch made anew, or portions; still to be weighed
  std::optional<int> goes_on_with_;   // come back to weigh more: the step that asked for it
  bool portioned_ = false;            // they are portions of what no scale carries at once
};

}  // namespace maslin::batch
