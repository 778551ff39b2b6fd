// Times in a boiling-water bath as they are printed: by product, jar and altitude. A product, a jar
// or an altitude without a row gets no number and the reason; nothing is read between rows.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "proto/trouble.hpp"

namespace maslin::preserving {

struct ProcessTime {
  std::int64_t minutes = 0;
  std::int64_t sterilise_jars_minutes = 0;  // the empty jars boil so long first; 0: not needed
  std::string pack;                         // "hot", "raw"
  std::string row;                          // "1001 to 6000 ft, half-pint or pint"
  bool checked = false;                     // else from memory: hold it against the tested formula
};

// What there are rows for, and what is named in order to be refused.
std::vector<std::string_view> process_products();
// `jar_ml`: what a jar holds. One that is smaller than the row's takes that row in full; a larger
// one has no time. Band edges are inclusive below: 1000 ft is in the first band, 1001 ft in the
// second. USDA Complete Guide to Home Canning (AIB
// 539). Up to 10,000 ft.
proto::Result<ProcessTime> process_time(std::string_view product, double jar_ml, double altitude_m);

// How long empty jars boil where the process is shorter than ten minutes: 10 min, and one more for
// each full 1000 ft (our reading of the wording). -430 to 8800 m.
proto::Result<std::int64_t> sterilise_minutes(double altitude_m);

}  // namespace maslin::preserving
