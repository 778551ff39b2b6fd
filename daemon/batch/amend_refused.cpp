// What an amendment may speak of, and all that is said against one; see amend.hpp.
#include <cmath>

#include "daemon/batch/amend.hpp"
#include "daemon/preserving/acidity.hpp"

namespace maslin::batch {

using proto::Amendment;
using proto::PlannedIngredient;
using proto::Trouble;

const PlannedIngredient* amended_ingredient(const Desk& desk, const std::string& name) {
  if (const auto* exactly = desk.planned(name)) return exactly;
  const PlannedIngredient* found = nullptr;
  for (const auto& one : desk.plan.ingredients) {
    if (name.empty() || one.name.find(name) == std::string::npos) continue;
    if (found != nullptr) return nullptr;
    found = &one;
  }
  return found;
}

const PlannedIngredient* amended_vinegar(const Desk& desk, const std::string& name) {
  const PlannedIngredient* found = nullptr;
  for (const auto& one : desk.plan.ingredients) {
    const auto* written = desk.formula.find(one.name);
    if (written == nullptr || !written->is_vinegar()) continue;
    if (!name.empty() && one.name.find(name) == std::string::npos) continue;
    if (found != nullptr) return nullptr;
    found = &one;
  }
  return found;
}

namespace {

constexpr std::size_t longest_name = 80;               // bytes of a lot
constexpr std::int64_t heaviest_ug = 100'000'000'000;  // nothing in a kitchen weighs more
constexpr std::int64_t most_jars = 500;

Trouble unknown(const Desk& desk, const std::string& name) {
  std::string names;
  for (const auto& one : desk.plan.ingredients) names += (names.empty() ? "" : ", ") + one.name;
  return {"there is no '" + proto::excerpt(name, 60) + "' in this batch", "of",
          "its ingredients are " + names};
}

// It is in, or its turn is over.
std::optional<Trouble> not_booked(const Desk& desk, const std::string& name) {
  const auto* one = amended_ingredient(desk, name);
  if (one == nullptr) return unknown(desk, name);
  if (desk.booked.contains(one->name)) return std::nullopt;
  return Trouble{"the " + one->name + " is not weighed yet", "of",
                 "weigh it; amend is for what is done"};
}

std::optional<Trouble> swap_refused(const Desk& desk, const Amendment& amendment) {
  for (const auto& name : {amendment.of, amendment.with}) {
    if (auto trouble = not_booked(desk, name)) return trouble;
    const std::string& known = amended_ingredient(desk, name)->name;
    if (desk.booked.at(known).indications > 0) continue;
    return Trouble{"the " + known + " was taken by measure, no scale has weighed it", "of",
                   "say what went in: maslin amend --weighed \"" + known + "=... g\""};
  }
  if (amended_ingredient(desk, amendment.of) != amended_ingredient(desk, amendment.with))
    return std::nullopt;
  return Trouble{"that is one ingredient", "with", "name two: --swapped \"sugar=salt\""};
}

std::optional<Trouble> outside(double value, double least, double most, const char* todo) {
  if (std::isfinite(value) && value >= least && value <= most) return std::nullopt;
  return Trouble{"that is out of range", "figure", todo};
}

}  // namespace

std::optional<Trouble> amendment_refused(const Desk& desk, const Amendment& amendment) {
  const std::string& what = amendment.what;
  if (what == "swapped") return swap_refused(desk, amendment);
  if (what == "weighed") {
    if (amendment.mass_ug <= 0 || amendment.mass_ug > heaviest_ug) {
      return Trouble{"that is no weight of an ingredient", "amount",
                     "write it like \"sugar=612 g\"; what was left out: --left-out sugar"};
    }
    return not_booked(desk, amendment.of);
  }
  if (what == "added" || what == "brine") {
    if (amendment.mass_ug <= 0 || amendment.mass_ug > heaviest_ug) {
      return Trouble{"that is no weight of anything", "amount",
                     "write it like \"water=200 g\", or of brine \"200 g\""};
    }
    if (what == "added") return not_booked(desk, amendment.of);
    if (brine_of(desk)) return std::nullopt;
    return Trouble{"there is no brine in this batch, or not all of it is weighed", "what",
                   "say what was added: maslin amend --added \"NAME=... g\""};
  }
  if (what == "left out") {
    if (auto trouble = not_booked(desk, amendment.of)) return trouble;
    if (!amended_ingredient(desk, amendment.of)->lead) return std::nullopt;
    return Trouble{"the batch was sized by it", "of", "say what really went in: --weighed"};
  }
  if (what == "jars") {
    if (!desk.jars.filled()) return Trouble{"no jars are filled yet", "", "maslin filled N"};
    if (amendment.count < 0 || amendment.count > most_jars) {
      return Trouble{"that is no number of jars", "count", "give 0 to 500 whole jars"};
    }
    if (amendment.count == 0 && !desk.jars.are_jars()) {
      return Trouble{"there is something of it, in one piece or container at least", "count",
                     "say where it went: maslin jar " + desk.start.batch + " all discarded"};
    }
    const double most = desk.plan.jar_ml > 0 ? 2 * desk.plan.yield_ml / desk.plan.jar_ml + 2 : 0;
    if (most > 0 && static_cast<double>(amendment.count) > most) {
      return Trouble{"this pan cannot have given so many jars", "count",
                     "tell the volume first, if it was more: maslin amend --volume"};
    }
    if (amendment.count != desk.jars.whole()) return std::nullopt;
    return Trouble{"so many there are by the record", "count", "maslin jars lists them"};
  }
  if (what == "vinegar") {
    if (auto no = preserving::no_vinegar(amendment.figure, "figure")) return no;
    if (amended_vinegar(desk, amendment.of) != nullptr) return std::nullopt;
    return Trouble{"it is not clear which vinegar", "of",
                   "name it: --vinegar \"cider vinegar=4 %\""};
  }
  if (what == "volume") {
    return outside(amendment.figure, 1, 60'000, "give what came out of the pan, 1 mL to 60 L");
  }
  if (what == "lot") {
    if (!amendment.of.empty() && !amendment.with.empty() && amendment.of.size() <= longest_name &&
        amendment.with.size() <= longest_name) {
      return std::nullopt;
    }
    return Trouble{"a lot has a name and a number, of at most 80 bytes each", "of",
                   "write --lot \"cider vinegar=L1234\""};
  }
  return Trouble{"'" + proto::excerpt(what, 60) + "' is nothing that can be amended", "what",
                 "swapped, weighed, added, left out, jars, vinegar, volume, lot and brine can"};
}

}  // namespace maslin::batch
