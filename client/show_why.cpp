// Why an ingredient was judged as it was: for the cook first, then line by line.
#include "client/show.hpp"
#include "client/text.hpp"

namespace maslin::client {
namespace {

// A chance; the ends of the scale are never quite reached.
std::string percent(double share) {
  if (share < 0.0001) return "less than 0.01 %";
  if (share > 0.9999) return "more than 99.99 %";
  return number(100.0 * share, share < 0.01 || share > 0.99 ? 2 : 1) + " %";
}

std::string headline(const proto::Why& why) {
  const std::string band = number(why.lower_g, 2) + " to " + grams(why.upper_g);
  if (!why.weighed_g) return why.ingredient + ": not weighed; band " + band;
  return why.ingredient + ": " + grams(*why.weighed_g) + " ± " +
         number(why.expanded_uncertainty_g, 2) + " g, aim " + grams(why.aim_g) + ", band " + band +
         (why.verdict.empty() ? "" : ": " + why.verdict + (why.accepted ? ", accepted" : ""));
}

// What the verdict may cost, said for the side that it was decided to.
std::string risk(const proto::Why& why) {
  std::string text = "By this weighing alone it lies inside its band with " +
                     percent(why.probability_within) + ". ";
  if (why.verdict == "within") {
    text +=
        "That it was accepted and lies outside (consumer's risk): " + percent(why.consumer_risk);
  } else if (why.verdict == "under" || why.verdict == "over") {
    text += "That it was called " + why.verdict +
            " and lies inside (producer's risk): " + percent(why.producer_risk);
  } else {
    text += "Nothing was decided by it";
  }
  return text + ".";
}

// The same by the usual way, to compare: it takes the sum of all errors for a normal one.
std::string by_student(const proto::Why& why) {
  return "Effective degrees of freedom: " +
         (why.effective_dof ? number(*why.effective_dof, 1)
                            : std::string("unlimited, no line rests on few readings")) +
         "; Student's t for 95 % is " + number(why.student_factor, 2) + ", so ± " +
         number(why.student_factor * why.standard_uncertainty_g, 2) +
         " g by it. The verdict goes by the ± " + number(why.expanded_uncertainty_g, 2) + " g.";
}

}  // namespace

std::string show(const proto::Why& why) {
  Page page;
  page.line("Batch " + why.batch + ", " + headline(why));
  if (!why.rule.empty()) page.line(why.rule);
  if (!why.components.empty()) {
    page.line(risk(why));
    page.gap().line("Where the ± " + number(why.expanded_uncertainty_g, 2) +
                    " g come from (95 %: " + number(why.coverage_factor, 2) +
                    " times the standard uncertainty " + number(why.standard_uncertainty_g, 3) +
                    " g), largest first:");
    Table table({"what", ">standard", ">share", "because"});
    for (const auto& one : why.components) {
      table.row({one.what, number(one.standard_uncertainty_g, 3) + " g",
                 number(one.share_pct, 0) + " %", one.basis});
    }
    page.raw(table.text(2));
    page.gap().line(by_student(why));
  }
  page.list("What can be done", why.ways_out);
  std::vector<std::string> story;
  for (const auto& one : why.story) {
    story.push_back(clock_text(one.from_ms) + "  " + one.what +
                    (one.detail.empty() ? "" : ": " + one.detail));
  }
  page.list("What happened", story);
  return page.text();
}

}  // namespace maslin::client
