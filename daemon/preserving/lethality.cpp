// Lethality; see the header.
#include "daemon/preserving/lethality.hpp"

#include <cmath>

namespace maslin::preserving {

proto::Result<double> lethality_min(std::span<const Point> profile, double reference, double z) {
  if (profile.size() < 2) {
    return proto::trouble("two rows are the least that make a profile", "csv",
                          "write minutes and temperature in each row");
  }
  if (!(z > 0)) return proto::trouble("z is above zero", "z", "give for instance 16 F");
  double sum = 0;
  double before = 0;
  for (std::size_t i = 0; i < profile.size(); ++i) {
    const double rate = std::pow(10.0, (profile[i].y - reference) / z);
    if (!std::isfinite(rate)) {
      return proto::trouble("a row is far above the reference", "csv", "look at its units");
    }
    if (i > 0) {
      const double minutes = profile[i].x - profile[i - 1].x;
      if (!(minutes > 0)) {
        return proto::trouble("time does not go on from row to row", "csv",
                              "sort the rows by their minutes");
      }
      sum += minutes * (rate + before) / 2;
    }
    before = rate;
  }
  return sum;
}

}  // namespace maslin::preserving
