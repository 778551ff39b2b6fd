// One row of the table that tests/bench/run prints, and the statistics behind it.
#pragma once

#include <algorithm>
#include <cstdio>
#include <ctime>
#include <string>
#include <vector>

namespace maslin::bench {

// A baseline of 0: there is none.
struct Row {
  std::string what;
  double figure = 0;
  std::string unit;
  double baseline = 0;
  std::string aim;
  bool met = true;
};

inline bool missed = false;

inline void print(const Row& row) {
  std::printf("%-56s %12.4g %-12s", row.what.c_str(), row.figure, row.unit.c_str());
  if (row.baseline > 0) {
    std::printf(" %12.4g %8.2f", row.baseline, row.figure / row.baseline);
  } else {
    std::printf(" %12s %8s", "", "");
  }
  std::printf("  %-22s %s\n", row.aim.c_str(), row.aim.empty() ? "" : row.met ? "met" : "MISSED");
  std::fflush(stdout);
  missed = missed || !row.met;
}

// p: 0 ... 1
inline double quantile(std::vector<double> values, double p) {
  if (values.empty()) return 0;
  std::sort(values.begin(), values.end());
  const auto last = static_cast<double>(values.size() - 1);
  return values[static_cast<std::size_t>(p * last + 0.5)];
}

inline long long now_ns() {
  timespec now{};
  clock_gettime(CLOCK_MONOTONIC, &now);
  return now.tv_sec * 1'000'000'000LL + now.tv_nsec;
}

}  // namespace maslin::bench
