// Sums and the boil; see the header.
#include "daemon/preserving/solids.hpp"

#include <cmath>

#include "daemon/preserving/boiling.hpp"
#include "daemon/preserving/syrup.hpp"

namespace maslin::preserving {
namespace {

constexpr double told_share_off = 0.1;
constexpr double weather_pa = 900;
constexpr double no_sucrose_pct = 1.5;

}  // namespace

SolidsSum solids_in(std::span<const SolidsIn> parts) {
  SolidsSum sum;
  double variance = 0;
  double unknown_g = 0;
  const auto add = [&](double u) { variance += u * u; };
  for (const SolidsIn& part : parts) {
    sum.all_g += part.mass_g;
    if (part.share < 0) {
      unknown_g += part.mass_g;
      sum.solids_g += part.mass_g / 2;
      add(part.mass_g / std::sqrt(12.0));
      continue;
    }
    sum.solids_g += part.mass_g * part.share;
    add(part.mass_u_g * part.share);
    // Rectangular; nothing varies in what is all sugar or all water.
    if (part.share < 1) add(part.mass_g * part.share * told_share_off / std::sqrt(3.0));
  }
  sum.solids_u_g = std::sqrt(variance);
  if (sum.all_g > 0) sum.unknown_share = unknown_g / sum.all_g;
  return sum;
}

proto::Result<SolidsPct> solids_by_boil(double boiling_k, double boiling_u_k, double pressure_pa) {
  const auto pct = solids_of_boiling_pct(boiling_k, pressure_pa);
  if (!pct) return tl::unexpected(pct.error());
  const auto water = saturation_temperature_k(pressure_pa);
  const auto other = saturation_temperature_k(pressure_pa + weather_pa);
  if (!water || !other) return tl::unexpected((water ? other : water).error());
  const double u_k = std::hypot(boiling_u_k, *other - *water);
  // Down the curve, where there always is one; it is flatter there, so this is no less than true.
  const auto lower = solids_of_boiling_pct(boiling_k - u_k, pressure_pa);
  const double slope_pct = lower ? *pct - *lower : *pct;
  return SolidsPct{*pct, std::hypot(slope_pct, no_sucrose_pct)};
}

}  // namespace maslin::preserving
