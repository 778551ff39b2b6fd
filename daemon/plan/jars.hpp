// How many jars a volume fills. The plan foresees with it, the engine asks with it.
#pragma once

#include <cstdint>

namespace maslin::plan {

struct JarCount {
  std::int64_t whole = 0;
  bool part = false;  // and one more, not full
};

// Both in millilitres; nothing where one of them is not known (0). A rest of less than an eighth of
// a jar is not worth one (common practice, no source).
JarCount jars_for(double yield_ml, double jar_ml);

}  // namespace maslin::plan
