// Small questions to a record that several files of this folder ask.
#pragma once

#include <span>
#include <string>
#include <type_traits>
#include <variant>

#include "proto/entry.hpp"

namespace maslin::review {

// The body of an entry, when it is of type T; nullptr otherwise.
template <class T>
const T* as(const proto::Entry& entry) {
  const auto pick = [](const auto& body) -> const T* {
    if constexpr (std::is_same_v<std::decay_t<decltype(body)>, T>) return &body;
    return nullptr;
  };
  return std::visit([&](const auto& side) { return std::visit(pick, side); }, entry.body);
}

// The start entry, or nullptr where the record has none.
inline const proto::Start* start_of(std::span<const proto::Entry> entries) {
  return entries.empty() ? nullptr : as<proto::Start>(entries.front());
}

// The clock of the kitchen at an entry, "2026-11-25T13:00:00"; empty where it shows UTC, or the
// record has no zone.
std::string local_text(const proto::Start& start, const proto::Stamp& stamp);

// What the batch calls a device: its role, "device 3" where it has none.
std::string device_name(const proto::Start* start, int device);

// What stands or dries was outside its bounds for too long. A span in which nothing measured is
// only asked about.
bool place_was_left(const proto::Deviation& deviation);

// The engine's words for what happened and for why a scale has a new zero, as a cook says them.
std::string condition_words(const std::string& what);
std::string zero_words(const std::string& why);

// "put right: a batch 1.057 times as large, 12 g more onion"
std::string way_words(const proto::WayOut& way);
// "Weigh-in 3: 412 g of 1000 g left ..."
std::string weigh_in_words(const proto::WeighIn& one);
// "; not taken out: it lies on what was weighed before", for each rung that did not work.
std::string refused_words(const proto::WayOut& way);

// "set good, heat right"
std::string rating_words(const proto::Rating& rating);

// "equilibrium pH, pH meter: 3.9 ± 0.08, limit 4.6: within (...)"
std::string finding_words(const proto::Finding& finding);

// "sugar and salt swapped"
std::string amendment_words(const proto::Amendment& amendment);

// "142.5 to 157.5 g"
std::string band_text(const proto::Verdict& verdict);

}  // namespace maslin::review
