// Filling the jars: how many the pan should give, asked with one bit; what waits too long or is
// too cool is said while it can still be mended.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "daemon/batch/operation.hpp"

namespace maslin::batch {

class Fill final : public Operation {
 public:
  using Operation::Operation;
  void begin(Desk& desk) override;
  void pan_changed(Desk& desk) override;
  void ok(Desk& desk) override;
  std::optional<proto::Trouble> refuses_no(const Desk& desk) const override;
  void no(Desk& desk) override;  // the brine does not cover the food
  std::optional<int> goes_back(const Desk& desk) const override;
  int goes_on_with(const Desk& desk) const;
  std::optional<proto::Trouble> refuses(const Desk& desk,
                                        const proto::JarWord& word) const override;
  void take(Desk& desk, const proto::JarWord& word) override;
  void amended(Desk& desk) override;
  bool food_stands(const Desk&) const override { return true; }
  void time_passed(Desk& desk) override;
  std::optional<std::int64_t> deadline_ms() const override;
  void say_again(Desk& desk) override;

 private:
  void foresee(Desk& desk);
  void expect(const Desk& desk, double yield_ml);
  std::string expected_text() const;
  void filled(Desk& desk, std::int64_t jars, std::int64_t part_filled, const char* evidence);

  std::int64_t began_ms_ = 0;
  std::string foreseen_;   // what the pan holds, in words; may be empty
  double yield_ml_ = 0;    // as planned, or as the cook measured it
  std::int64_t jars_ = 0;  // that the pan should give; 0 not known
  std::int64_t part_filled_ = 0;
  bool more_brine_ = false;
  bool hot_ = false;
  bool jars_boiled_ = true;
  bool pan_cool_said_ = false;
  bool jars_cool_said_ = false;
};

}  // namespace maslin::batch
