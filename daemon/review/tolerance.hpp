// Statistical tolerance intervals of a normal distribution: mean ± factor times standard deviation
// (n - 1) of n values holds the share `coverage` of all values with the probability `confidence`
// (both between 0 and 1, n from 2 on). NIST/SEMATECH e-Handbook 7.2.6.3; exact, not by the closed
// approximations that it prints beside. Called by `charts`. Private to review/.
#pragma once

#include <cstddef>

namespace maslin::review {

// One side alone is bounded: by the noncentral t distribution.
double one_sided_factor(std::size_t n, double coverage, double confidence);
// Both sides: the chi-squared distribution of the spread, integrated over that of the mean.
double two_sided_factor(std::size_t n, double coverage, double confidence);

// How many standard deviations off its mean one of n values in order lies once in a hundred such
// rows, by Student's t of n - 1: of few values three of them are not rare.
double stand_out_factor(std::size_t n);

}  // namespace maslin::review
