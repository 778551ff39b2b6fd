// The evenings that scenario tests begin with: undisturbed, unless the test adds something.
#pragma once

#include "stage.hpp"

namespace maslin::scenario {

constexpr double night_s = 24 * 3600.0;

// The demonstration's relish for the shelf: canner, pan, some minutes at the scale, ten minutes'
// bath, a night of cooling. Nothing goes wrong.
Setting shelf_evening();
// The onion relish for the refrigerator: no canner, no altitude.
Setting refrigerator_evening();
// The pepper jelly for the refrigerator: pectin, sugar at the second boil, one minute of it.
Setting jelly_evening();

// The same with a scale only: no thermometer stands in a pot.
Setting with_a_scale_only(Setting setting);
// The same with nothing but a clock: the cook measures by cup and spoon, and says ok.
Setting with_nothing_but_a_clock(Setting setting);

kitchen::TroubleModel trouble(kitchen::TroubleModel::What what, kitchen::PotName pot,
                              double after_s, double for_s = 0);

// Nothing was held, no time begun again, no boil called lost, nothing doubted.
void expect_nothing_lost(const Stage& stage);
// And no time paused.
void expect_undisturbed(const Stage& stage);
// The batch is complete, and folds again to the same words.
void expect_complete(const Stage& stage);
// No second less than the bath's time was spent in boiling water.
void expect_full_bath(const Stage& stage, double minutes = 10);

}  // namespace maslin::scenario
