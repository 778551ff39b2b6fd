// When the stop comes, and where a pour ends without it, against rows that another program has
// computed from the rule that the table names.
#include "daemon/weighing/stop.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "tests/reference/csv.hpp"

namespace maslin::weighing {
namespace {

TEST(StopRows, TheCueComesAtTheIndicationOfTheTable) {
  for (const auto& row : reference::table("stop_cue.csv")) {
    SCOPED_TRACE(row.shown());
    const double flow_g_s = row.number("flow_g_s");
    const double delay_s =
        row.number("lag_s") + row.number("reaction_s") + row.number("closing_s") / 2;
    EXPECT_NEAR(delay_s, row.number("tau_s"), 1e-9);
    StopPredictor predictor(delay_s);
    predictor.begin(std::llround(row.number("target_g") * 1e6));
    double at_g = 0;
    while (predictor.feed(std::llround(at_g * 1e6), flow_g_s * 1e6) != StopCue::stop) at_g += 0.01;
    EXPECT_NEAR(at_g, row.number("indication_at_cue_g"), 0.02);
    EXPECT_NEAR(row.number("target_g") + flow_g_s * delay_s, row.number("end_without_prediction_g"),
                1e-6);
  }
}

}  // namespace
}  // namespace maslin::weighing
