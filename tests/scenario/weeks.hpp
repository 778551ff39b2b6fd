// What stands for weeks: the cure in the refrigerator and the carrots in their brine, undisturbed
// unless the test adds something.
#pragma once

#include "kitchens.hpp"

namespace maslin::scenario {

constexpr double hour_s = 3600;
constexpr double day_s = 24 * hour_s;

// Two weeks in the cold; a thermometer every five minutes.
Setting cure_weeks();
// The same loin for three weeks.
Setting long_cure_weeks();
// Ten days in a larder.
Setting brine_weeks();

// Killed every night from ten to six, for as long as it stands.
void restart_every_night(Stage& stage, int nights);

// Words since the step `stand` began that are not the step itself; a day has one at most.
std::size_t words_while_standing(const Stage& stage);
// The newest of what was told of the place.
proto::Stood stood(const Stage& stage);

// No hold, no question, one line a day at most, complete, and folds again.
void expect_quiet_weeks(const Stage& stage, double days);

}  // namespace maslin::scenario
