// The ledger of jars.hpp.
#include "daemon/batch/jars.hpp"

#include <algorithm>
#include <array>
#include <numeric>

#include "daemon/batch/desk.hpp"
#include "proto/trouble.hpp"

namespace maslin::batch {
namespace {

constexpr std::array places = {"shelf", "refrigerator", "freezer", "given", "opened", "discarded"};
// USDA Complete Guide to Home Canning, guide 1: a jar that did not seal is processed again, frozen
// or refrigerated within 24 hours.
constexpr std::int64_t mend_ms = 24 * 3'600'000;

}  // namespace

void Jars::fill(Desk& desk, const proto::Filled& filled) {
  jars_.assign(static_cast<std::size_t>(filled.jars + filled.part_filled), {"cooling", false});
  part_filled_ = filled.part_filled > 0;
  filled_ms_ = desk.now_ms;
  desk.emit(filled);
}

std::vector<std::int64_t> Jars::in(std::string_view where) const {
  std::vector<std::int64_t> found;
  for (std::size_t i = 0; i < jars_.size(); ++i) {
    if (jars_[i].where == where) found.push_back(static_cast<std::int64_t>(i + 1));
  }
  return found;
}

void Jars::put(Desk& desk, proto::JarsAre jars) {
  for (const auto number : jars.jars) {
    Jar& jar = jars_[static_cast<std::size_t>(number - 1)];
    jar.where = jars.where;
    if (jars.where == "shelf") jar.sealed = true;
    // A refrigerator leaves a seal as it is, and so does a neighbour.
    if (jars.where != "shelf" && jars.where != "refrigerator" && jars.where != "given") {
      jar.sealed = false;
    }
  }
  desk.emit(std::move(jars));
}

void Jars::settle(Desk& desk) {
  const auto left = in("cooling");
  if (left.empty()) return;
  // Only sealed jars stand on a shelf, and those were put there by the seal check.
  const bool freezer = desk.plan.keeping == "freezer";
  put(desk, {left, freezer ? "freezer" : "refrigerator", "as planned",
             freezer ? "Label, then into the freezer." : "Label, then into the refrigerator."});
}

std::vector<std::int64_t> Jars::named(const proto::JarWord& word) const {
  if (!word.jars.empty()) return word.jars;
  std::vector<std::int64_t> all(jars_.size());
  std::iota(all.begin(), all.end(), 1);
  return all;
}

std::optional<proto::Trouble> Jars::refuses(const proto::JarWord& word) const {
  if (jars_.empty()) {
    return proto::Trouble{"no jars are filled in this batch", "jars", "maslin jars lists all jars"};
  }
  for (const auto jar : word.jars) {
    if (jar >= 1 && jar <= count()) continue;
    return proto::Trouble{"there is no jar " + std::to_string(jar), "jars",
                          "the batch has jars 1 to " + std::to_string(count())};
  }
  if (word.what != "now") return std::nullopt;
  if (std::find(places.begin(), places.end(), word.where) == places.end()) {
    return proto::Trouble{"'" + proto::excerpt(word.where, 60) + "' is no place of a jar", "where",
                          "write one of: shelf, refrigerator, freezer, given, opened, discarded"};
  }
  for (const auto jar : named(word)) {
    if (auto trouble = refuses(word, jar)) return trouble;
  }
  return std::nullopt;
}

std::optional<proto::Trouble> Jars::refuses(const proto::JarWord& word, std::int64_t number) const {
  const Jar& jar = at(number);
  const std::string name = "jar " + std::to_string(number);
  if (word.where != "discarded" && jar.where == "discarded") {
    return proto::Trouble{name + " was discarded", "jars", "what was discarded does not come back"};
  }
  if (word.where == "shelf" && !jar.sealed) {
    return proto::Trouble{name + " did not keep its seal for the shelf", "where",
                          "only a sealed jar of a batch for the shelf stands there"};
  }
  return std::nullopt;
}

// What belongs to the new place of a jar. `unsealed`: it comes there because it did not seal.
std::string Jars::todo(std::string_view where, std::int64_t at_ms, bool unsealed) const {
  if (where == "opened") return "Into the refrigerator.";
  const bool cold = where == "refrigerator" || where == "freezer";
  if (cold && unsealed && at_ms - filled_ms_ > mend_ms) {
    return "Only if it came into the cold within 24 hours of filling; else discard it.";
  }
  return "";
}

void Jars::take(Desk& desk, const proto::JarWord& word) {
  // To whom a jar went stays with the cook's own word and is copied nowhere.
  const std::string why = word.text.empty() || word.where == "given" ? "by the cook" : word.text;
  // Jars that did not seal may need another advice than those beside them.
  std::vector<std::int64_t> plain;
  std::vector<std::int64_t> unsealed;
  for (const auto jar : named(word)) {
    (where(jar) == "not sealed" ? unsealed : plain).push_back(jar);
  }
  if (!plain.empty()) put(desk, {plain, word.where, why, todo(word.where, desk.now_ms, false)});
  if (!unsealed.empty())
    put(desk, {unsealed, word.where, why, todo(word.where, desk.now_ms, true)});
}

}  // namespace maslin::batch
