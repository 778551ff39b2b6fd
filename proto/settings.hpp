// What the cook or the installer has set, as it was in force when a batch began.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

namespace maslin::proto {

struct Settings {
  std::optional<double> altitude_m;  // of the kitchen; never assumed
  double usual_spread =
      0.02;  // relative standard deviation of this cook's pours (common practice, no source)
  double scale_lag_s = 0.5;  // display lag assumed until a scale's own is learned
  double reaction_s = 0.4;   // the cook's, from cue to hand (common practice, no source)
  double cue_delay_s = 0.1;  // from the decision to the sound (tone)
  // Minutes of the local day between which a question may wait for the cook (7:00 to 22:00).
  std::int64_t waking_from_min = 420;
  std::int64_t waking_to_min = 1320;
  std::string units = "kitchen";  // which comes first: "kitchen" (cups and spoons) or "grams"
  bool quiet = false;             // light and text only; urgency 4 sounds all the same
  // Quiet every day from this minute of the local day until that one; the same twice: never.
  std::int64_t quiet_from_min = 0;
  std::int64_t quiet_to_min = 0;
  friend bool operator==(const Settings&, const Settings&) = default;
};

}  // namespace maslin::proto
