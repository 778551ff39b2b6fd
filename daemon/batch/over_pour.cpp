// The rungs of over_pour.hpp.
#include "daemon/batch/over_pour.hpp"

#include <algorithm>

#include "daemon/batch/limits.hpp"
#include "daemon/batch/words.hpp"
#include "daemon/quantity/decimal.hpp"

namespace maslin::batch {
namespace {

using proto::PlannedIngredient;

// A plan that is so little larger is the same one, topped up.
constexpr double same_size = 1e-9;

Way works(Rung rung, std::string text) { return {rung, true, std::move(text), "", "", {}}; }
Way blocked(Rung rung, std::string by, std::string why) {
  return {rung, false, "", std::move(by), std::move(why), {}};
}

class Ladder {
 public:
  Ladder(const Desk& desk, const OverPour& over)
      : desk_(desk), over_(over), one_(*desk.planned(over.ingredient)) {}

  std::vector<Way> ways() {
    std::vector<Way> all{take_out()};
    all.push_back(accept());
    make_larger(all);
    if (!one_.unsafe_over && !all[1].works) {
      all.push_back(works(Rung::accept, "leave it so: not unsafe, but it will not be quite this"));
    }
    all.push_back(refrigerator());
    const bool lost = over_.lies == Lies::mixed && one_.counts_as == "curing salt";
    all.push_back(works(Rung::start_again, lost ? "discard what it is mixed into and start again"
                                                : "stop here and start again"));
    return all;
  }

 private:
  std::string so_much(const PlannedIngredient& one, std::int64_t ug,
                      const std::string& what) const {
    return one.check == "weigh" ? amount_of(desk_.plan, one, ug, interval_for(desk_, one), what)
                                : amount_of(desk_.plan, one, ug, 0, what);
  }

  Way take_out() const {
    const std::string out = amount(over_.excess_ug, over_.interval_ug);
    switch (over_.lies) {
      case Lies::alone:
        return works(Rung::take_out, "It is alone in its vessel: take " + out + " out again");
      case Lies::unseen:
        return works(Rung::take_out,
                     "If it is still alone where it went: pour " + out + " back into its own");
      case Lies::mixed:
        break;
    }
    const bool runs = one_.counts_as == "acid" || one_.counts_as == "water";
    return blocked(Rung::take_out, "mixed",
                   runs ? "It has run into what was weighed before"
                        : "It lies on what was weighed before: take out what you can lift cleanly");
  }

  // More of what is feared to be short is on the safe side and is left first; what is only worse
  // for it is mended first. How far over is still the same food: one more width of the band (common
  // practice, no source).
  Way accept() const {
    if (one_.unsafe_over) {
      return blocked(Rung::accept, "critical limit",
                     "more " + over_.ingredient + " than that is not safe");
    }
    if (over_.undecided) {
      return works(Rung::accept, "leave it: nothing here can tell, and more of it is not unsafe");
    }
    if (!one_.unsafe_under) {
      return blocked(Rung::accept, "quality", "it may taste or set differently");
    }
    if (over_.net_ug - one_.upper_ug > one_.upper_ug - one_.lower_ug) {
      return blocked(Rung::accept, "quality",
                     "so much more " + over_.ingredient + " is safe, but not quite this food");
    }
    return works(Rung::accept, "leave it: more " + over_.ingredient + " is on the safe side");
  }

  void make_larger(std::vector<Way>& all) const {
    if (!desk_.strength_ppm.empty()) {
      block_both(all, "plan", "the vinegar is weaker than the formula means");
      return;
    }
    plan::Holding more;
    more.name = over_.ingredient;
    more.in_ug = over_.net_ug;
    more.standard_uncertainty_ug = over_.standard_uncertainty_ug;
    auto found = plan::enlarge(desk_.formula, desk_.start.request,
                               {desk_.start.devices, desk_.start.settings, desk_.start.facts},
                               desk_.plan, holdings_in(desk_, more));
    if (!found) {
      block_both(all, found.error().by, found.error().what);
      return;
    }
    if (found->factor <= 1 + same_size) {
      auto way = works(Rung::top_up, top_up_text(*found));
      way.plan = std::move(*found);
      all.push_back(std::move(way));
      all.push_back(blocked(Rung::larger, "band", "it need not be larger"));
      return;
    }
    all.push_back(blocked(Rung::top_up, "band",
                          "no addition alone brings the " + over_.ingredient + " into its band"));
    auto way =
        works(Rung::larger, "make the batch " + larger_by(found->factor) + additions(*found, "; "));
    way.plan = std::move(*found);
    all.push_back(std::move(way));
  }

  static void block_both(std::vector<Way>& all, const std::string& by, const std::string& why) {
    all.push_back(blocked(Rung::top_up, by, why));
    all.push_back(blocked(Rung::larger, by, why));
  }

  std::string additions(const plan::Enlarged& found, const std::string& before) const {
    std::string text;
    for (const auto& one : found.top_ups) {
      const auto* planned = desk_.planned(one.name);
      text += text.empty() ? before : ", ";
      text += (one.chopped ? "chop " : "add ") + so_much(*planned, one.add_ug, "more " + one.name);
    }
    return text;
  }

  // Where nothing in the bowl needs more, what is still to come makes up for it.
  std::string top_up_text(const plan::Enlarged& found) const {
    std::string text = additions(found, "");
    if (!text.empty()) return text;
    for (const auto& after : found.plan.ingredients) {
      const auto* before = desk_.planned(after.name);
      if (before == nullptr || after.aim_ug <= before->aim_ug + over_.interval_ug / 2) continue;
      if (after.name == over_.ingredient) continue;
      text += (text.empty() ? "make up for it with " : " and ") +
              so_much(*before, after.aim_ug - before->aim_ug, "more " + after.name);
    }
    return text.empty() ? "leave it: the rest makes up for it" : text;
  }

  Way refrigerator() const {
    if (!one_.unsafe_over) {
      return blocked(Rung::refrigerator, "quality", "keeping it cold does not mend it");
    }
    if (one_.counts_as == "curing salt") {
      return blocked(Rung::refrigerator, "critical limit",
                     "too much curing salt is not safe, however it is kept");
    }
    const auto group = formula::counts_named(one_.counts_as);
    for (const auto& ratio : desk_.formula.ratios) {
      if (group && (formula::has(ratio.of, *group) || formula::has(ratio.per, *group)) &&
          ratio.holds_for(formula::Keeping::refrigerator)) {
        return blocked(Rung::refrigerator, "critical limit",
                       "its proportion is critical in the refrigerator too");
      }
    }
    if (desk_.plan.keeping != "shelf") {
      return blocked(Rung::refrigerator, "keeping",
                     "it is for the " + desk_.plan.keeping + " already");
    }
    return works(Rung::refrigerator, "keep it for the refrigerator, none of it on the shelf");
  }

  const Desk& desk_;
  const OverPour& over_;
  const PlannedIngredient& one_;
};

}  // namespace

std::string larger_by(double factor) {
  const double percent = (factor - 1) * 100;
  return quantity::plain(percent, percent < 10 ? 1 : 0) + " % larger";
}

std::string_view name(Rung rung) {
  switch (rung) {
    case Rung::take_out:
      return "taken out";
    case Rung::accept:
      return "accepted";
    case Rung::top_up:
      return "topped up";
    case Rung::larger:
      return "larger batch";
    case Rung::refrigerator:
      return "refrigerator";
    case Rung::start_again:
      break;
  }
  return "start again";
}

std::vector<plan::Holding> holdings_in(const Desk& desk, const plan::Holding& more) {
  std::vector<plan::Holding> all;
  for (const auto& mass : masses_in(desk)) {
    if (mass.name == more.name) continue;
    const auto done = std::find_if(desk.done.begin(), desk.done.end(),
                                   [&](const Done& one) { return one.mass.name == mass.name; });
    // What went in by measure counts as planned, however little a scale says of it.
    const bool left = done->verdict != "within" && desk.planned(mass.name)->check == "weigh";
    all.push_back({mass.name, mass.net_ug, mass.standard_uncertainty_ug, 0, left});
  }
  all.push_back(more);
  return all;
}

std::vector<Way> ways_out(const Desk& desk, const OverPour& over) {
  return Ladder(desk, over).ways();
}

}  // namespace maslin::batch
