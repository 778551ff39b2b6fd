// What verdicts risk, over pours on scales whose vessel stands anywhere between two digits: guarded
// and simple acceptance over a hundred cells of interval, amount and band, and the guard of a
// critical limit at every accepted reading.
#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <map>
#include <random>

#include "daemon/weighing/conformity.hpp"
#include "daemon/weighing/scale_class.hpp"

namespace maslin::weighing {
namespace {

constexpr double kSpread = 0.02;  // of the cook's pours
constexpr std::array<double, 4> kIntervals{0.1, 1.0, 2.0, 5.0};

NetBudget calibrated(double interval_g) {
  return {.interval_g = interval_g, .repeatability_g = 0.1 * interval_g};
}

// One net after the other: true, and as a scale of that interval shows it.
class Pours {
 public:
  Pours(unsigned seed, double interval_g)
      : random_(seed), d_(interval_g), noise_(0, 0.1 * d_), vessel_(400 * d_, 410 * d_) {}

  struct Pour {
    double truth = 0;
    long shown = 0;  // intervals
  };
  Pour pour(double mean, double spread_g) {
    Pour pour;
    pour.truth = mean + spread_g * unit_(random_);
    const double tare = vessel_(random_);
    pour.shown = shown(tare + pour.truth) - shown(tare);
    return pour;
  }
  double uniform(double from, double to) {
    return std::uniform_real_distribution<double>(from, to)(random_);
  }

 private:
  long shown(double load) { return std::lround((load + noise_(random_)) / d_); }

  std::mt19937_64 random_;
  double d_;
  std::normal_distribution<double> noise_;
  std::normal_distribution<double> unit_{0, 1};
  std::uniform_real_distribution<double> vessel_;
};

struct Counts {
  int accepted = 0;
  int bad_accepted = 0;
  int good_called_out = 0;
};

// `judge` is asked once for each reading that occurs.
template <class Judge>
Counts counted(Pours& pours, double d, double mass, double tolerance, int n, Judge judge) {
  std::map<long, Judgement> known;
  Counts counts;
  for (int i = 0; i < n; ++i) {
    const auto pour = pours.pour(mass, kSpread * mass);
    const auto [it, unknown] = known.try_emplace(pour.shown, Judgement::undecided);
    if (unknown) it->second = judge(static_cast<double>(pour.shown) * d);
    const bool good = std::abs(pour.truth - mass) <= tolerance;
    const bool called_out = it->second == Judgement::under || it->second == Judgement::over;
    counts.accepted += it->second == Judgement::within;
    counts.bad_accepted += it->second == Judgement::within && !good;
    counts.good_called_out += called_out && good;
  }
  return counts;
}

TEST(Risk, OfGuardedAndSimpleAcceptanceOverAHundredCells) {
  constexpr int kPours = 100'000;
  int cells_that_can_be_checked = 0;
  for (const double d : kIntervals) {
    Pours pours(90'210, d);
    const NetBudget budget = calibrated(d);
    for (const double mass : {12.0, 50.0, 100.0, 150.0, 500.0}) {
      for (const double band_pct : {1.0, 2.0, 3.0, 5.0, 10.0}) {
        const double tolerance = mass * band_pct / 100.0;
        const double lower = mass - tolerance;
        const double upper = mass + tolerance;
        SCOPED_TRACE(testing::Message() << d << " g, " << mass << " g +- " << band_pct << " %");
        const auto by_reading = [&](double net) { return simple(net, lower, upper, budget); };
        if (!checkable(tolerance, budget)) {
          for (double net = lower - 3 * d; net < upper + 3 * d; net += d / 3) {
            ASSERT_EQ(by_reading(net), Judgement::undecided);
          }
          continue;
        }
        ++cells_that_can_be_checked;
        const Counts sure = counted(pours, d, mass, tolerance, kPours, [&](double net) {
          return guarded(conformity(net, lower, upper, budget));
        });
        EXPECT_LE(sure.bad_accepted, 0.01 * kPours);      // global consumer's risk
        EXPECT_LE(sure.good_called_out, 0.015 * kPours);  // and the producer's
        const double standard = net_uncertainty(budget).standard_g;
        if (tolerance / (2.0 * standard) < 2.6) continue;
        const Counts read = counted(pours, d, mass, tolerance, kPours / 4, by_reading);
        EXPECT_LE(read.bad_accepted, 0.10 * read.accepted);
      }
    }
  }
  EXPECT_EQ(cells_that_can_be_checked, 71);
}

// At most 5 % bad among what is accepted, at every accepted reading, for cooks who aim too low by
// nothing, one and two of their own standard deviations and limits anywhere between two digits.
TEST(Risk, OfACriticalLimitAtEveryAcceptedReading) {
  constexpr int kPours = 40'000;
  constexpr int kFewest = 400;  // so that 5 % are told from 8
  for (const double d : {0.1, 1.0, 5.0}) {
    for (const double mass : {50.0, 118.0, 400.0}) {
      const double standard = net_uncertainty(calibrated(d)).standard_g;
      const double guard = critical_guard_g(standard, mass, kSpread);
      for (const double off : {-2.0, -1.0, 0.0}) {
        Pours pours(31'337, d);
        std::map<long, std::pair<int, int>> of_reading;  // intervals above the limit: all, bad
        for (int at = 0; at < 10; ++at) {
          const double limit = mass + at * d / 10.0;
          for (int i = 0; i < kPours / 10; ++i) {
            const auto pour = pours.pour(limit + off * kSpread * mass, kSpread * mass);
            const double net = static_cast<double>(pour.shown) * d;
            if (net < limit + guard) continue;
            auto& [all, bad] = of_reading[std::lround(std::floor((net - limit - guard) / d))];
            ++all;
            bad += pour.truth < limit;
          }
        }
        for (const auto& [reading, counts] : of_reading) {
          if (counts.first < kFewest) continue;
          EXPECT_LE(counts.second, 0.05 * counts.first)
              << d << " g, " << mass << " g, off by " << off << ", reading " << reading;
        }
      }
    }
  }
}

// Scales whose error curve keeps the limits of class III in service: the interval of a net by the
// net rule holds the truth in 95 of a hundred at least.
TEST(Cover, OfTheClassLimitsIsAtLeastNineteenOfTwenty) {
  constexpr int kScales = 20'000;
  std::mt19937_64 random(424'242);
  std::normal_distribution<double> unit(0, 1);
  for (const double d : kIntervals) {
    int held = 0;
    for (int i = 0; i < kScales; ++i) {
      // A smooth curve: slope and bow, drawn until both ends and the middle keep the limits.
      const double capacity = 5000 * d;
      double slope = 0, bow = 0;
      const auto error = [&](double load) {
        const double x = load / capacity;
        return (slope * x + bow * x * (1.0 - x)) * d;
      };
      const auto keeps = [&] {
        for (double load = capacity / 50; load <= capacity; load += capacity / 50) {
          const double limit = permissible_error_g(ScaleClass::medium, load, d);
          if (std::abs(error(load)) > limit) return false;
        }
        return true;
      };
      do {
        slope = 3.0 * unit(random);
        bow = 6.0 * unit(random);
      } while (!keeps());
      const auto shown = [&](double load) {
        return std::round((load + error(load)) / d + 0.1 * unit(random)) * d;
      };
      const double tare = std::uniform_real_distribution<double>(50 * d, 1500 * d)(random);
      const double net = std::uniform_real_distribution<double>(20 * d, 1000 * d)(random);
      const double found = shown(tare + net) - shown(tare);
      const double half = net_uncertainty(uncalibrated_budget(found, d, capacity)).half95_g;
      held += std::abs(found - net) <= half;
    }
    EXPECT_GE(held, 0.95 * kScales) << d;
  }
}

}  // namespace
}  // namespace maslin::weighing
