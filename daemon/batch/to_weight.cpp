// The account of to_weight.hpp.
#include "daemon/batch/to_weight.hpp"

#include <algorithm>
#include <cmath>

namespace maslin::batch {
namespace {

constexpr double ms_per_hour = 3'600'000;
constexpr double million = 1e6;

std::int64_t share_of(std::int64_t mass_ug, double share) {
  return std::llround(static_cast<double>(mass_ug) * share);
}

}  // namespace

void ToWeight::begin(std::int64_t begin_ug, const Point& point) {
  begin_ug_ = begin_ug;
  loaded_ug_ = point.net_ug;
  points_.assign(1, point);
}

void ToWeight::strike_lighter(std::int64_t net_ug) {
  struck_ += static_cast<std::int64_t>(
      std::erase_if(points_, [&](const Point& one) { return one.net_ug < net_ug; }));
}

void ToWeight::keep(double share) {
  kept_ *= share;
  for (auto& one : points_) one.net_ug = share_of(one.net_ug, share);
}

void ToWeight::drop_tray() {
  const std::int64_t left_ug =
      empty_ug() - empty_ug() / static_cast<std::int64_t>(empties_ug.size());
  empties_ug.pop_back();
  if (empties_ug.empty()) return;
  const auto count = static_cast<std::int64_t>(empties_ug.size());
  for (auto& one : empties_ug) one = left_ug / count;
}

void ToWeight::amend(std::int64_t begin_ug) { begin_ug_ = begin_ug; }

std::int64_t ToWeight::begin_ug() const { return share_of(begin_ug_, kept_); }

std::int64_t ToWeight::target_ug() const {
  return share_of(begin_ug_, kept_ * lowered_ * static_cast<double>(left_ppm_) / million);
}

std::int64_t ToWeight::empty_ug() const {
  std::int64_t sum = 0;
  for (const auto one : empties_ug) sum += one;
  return sum;
}

std::int64_t ToWeight::dry_ug() const {
  if (water_ppm_ == 0) return 0;
  return share_of(begin_ug_, kept_ * (1 - static_cast<double>(water_ppm_) / million));
}

double ToWeight::lost_pct() const {
  if (begin_ug() <= 0) return 100;  // nothing is left that could lose anything
  return 100 * (1 - static_cast<double>(last().net_ug) / static_cast<double>(begin_ug()));
}

std::optional<double> ToWeight::water_pct() const {
  if (water_ppm_ == 0) return std::nullopt;
  return preserving::water_left_pct(static_cast<double>(water_ppm_) / (million / 100),
                                    1 - lost_pct() / 100);
}

std::vector<preserving::DryPoint> ToWeight::points() const {
  std::vector<preserving::DryPoint> all;
  for (const auto& one : points_) {
    all.push_back({static_cast<double>(one.at_ms - points_.front().at_ms) / ms_per_hour,
                   static_cast<double>(one.net_ug) / million,
                   static_cast<double>(one.standard_uncertainty_ug) / million});
  }
  return all;
}

std::optional<preserving::DryingForecast> ToWeight::forecast() const {
  return preserving::drying_forecast(points(), static_cast<double>(dry_ug()) / million,
                                     static_cast<double>(target_ug()) / million);
}

std::optional<preserving::DryingExpected> ToWeight::expected(std::int64_t at_ms) const {
  if (!begun()) return std::nullopt;
  return preserving::drying_expected(points(), static_cast<double>(dry_ug()) / million,
                                     static_cast<double>(target_ug()) / million,
                                     static_cast<double>(at_ms - last().at_ms) / ms_per_hour);
}

proto::ToWeight ToWeight::status() const {
  proto::ToWeight status;
  status.net_g = static_cast<double>(last().net_ug) / million;
  status.begin_g = static_cast<double>(begin_ug()) / million;
  status.target_g = static_cast<double>(target_ug()) / million;
  status.lost_pct = lost_pct();
  status.water_pct = water_pct();
  status.weigh_ins = weigh_ins();
  status.weighed_ms = last().at_ms;
  if (const auto forecast = this->forecast()) {
    const auto at = [&](double hours) { return last().at_ms + std::llround(hours * ms_per_hour); };
    status.ready_ms = at(forecast->hours);
    status.ready_from_ms = at(forecast->from_hours);
    status.ready_to_ms = at(forecast->to_hours);
  }
  return status;
}

}  // namespace maslin::batch
