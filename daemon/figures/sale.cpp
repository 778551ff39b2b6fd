// `figure jelly-fruit`, `net-weight`: for whoever labels jars for sale.
#include <string>

#include "daemon/figures/kinds.hpp"
#include "daemon/figures/words.hpp"
#include "daemon/preserving/for_sale.hpp"
#include "daemon/quantity/decimal.hpp"

namespace maslin::figures {
namespace {

using quantity::plain;

constexpr const char* kAuthority =
    "for sale, local rules and a process authority come first; this says nothing of safety";

}  // namespace

proto::Results<Figure> jelly_fruit(Asked& asked) {
  const std::string fruit = asked.text_if_given("fruit").value_or("");
  const double juice = asked.mass_g("juice", Sign::above_zero);
  const double solids = asked.percent("solids");
  const double sugar = asked.mass_g("sugar", Sign::above_zero);
  if (!asked.good()) return tl::unexpected(asked.troubles());
  const auto found = preserving::jelly_fruit(fruit, juice, solids, sugar);
  if (!found) return refused(found.error());
  const bool within = found->juice_short_g <= 0;
  Figure figure;
  figure.fields = {{"factor", found->factor},
                   {"fruit_g", found->fruit_g},
                   {"fruit_parts", found->parts},
                   {"least_parts", preserving::kLeastFruitParts},
                   {"juice_short_g", found->juice_short_g},
                   {"within", within}};
  figure.value =
      "the juice counts as " + plain(found->fruit_g, 1) + " g of fruit: " + plain(found->parts, 1) +
      " parts to " + plain(100 - found->parts, 1) +
      " of sugar, at least 45 to 55 are asked for: " + (within ? "enough" : "TOO LITTLE");
  figure.lines = {plain(juice, 1) + " g of juice x " + plain(solids, 2) +
                  " % of soluble solids x " + plain(found->factor, 2) + ", the factor of " +
                  found->fruit};
  if (!within) {
    figure.lines.push_back(plain(found->juice_short_g, 1) +
                           " g more of the same juice make it enough; or less sugar");
  }
  figure.lines.push_back(
      "asked for as well, and not checked here: 65 % of soluble solids in the finished jelly");
  figure.lines.push_back(kAuthority);
  figure.accuracy = "as good as the refractometer: 0.1 of " + plain(solids, 2) + " % is " +
                    plain(10 / solids, 1) + " % of the fruit";
  figure.range =
      "one fruit; solids of the juice before anything is added; sugar means all sweeteners, as "
      "solids; jelly of peppers has no place in this rule";
  figure.source = "21 CFR 150.140(b)(1), factors; (d), 45 to 55 and 65 %: from memory";
  return figure;
}

proto::Results<Figure> net_weight(Asked& asked) {
  const double label = asked.mass_g("label", Sign::above_zero);
  std::vector<double> nets;
  for (const std::string& text : asked.texts("net")) {
    nets.push_back(asked.mass_of("net", text, Sign::above_zero));
    // A slip of the unit or the digit, or a jar of another size.
    if (asked.good() && nets.back() > 2 * label) {
      asked.refuse(plain(nets.back(), 2) + " g is more than twice the " + plain(label, 2) +
                       " g of the label",
                   "net", "give the net of jars with this label");
    }
  }
  if (!asked.good()) return tl::unexpected(asked.troubles());
  const auto variation = preserving::allowable_variation_g(label);
  if (!variation) return refused(variation.error());
  const double least = label - *variation;
  Figure figure;
  figure.fields = {{"mav_g", *variation}, {"least_g", least}};
  figure.value = "a jar labelled " + plain(label, 1) + " g may be short by " +
                 plain(*variation, 2) + " g at most, and hold " + plain(least, 2) + " g";
  if (!nets.empty()) {
    double sum = 0;
    double too_short = 0;
    for (const double net : nets) {
      sum += net;
      if (net >= least) continue;
      ++too_short;
      figure.lines.push_back(plain(net, 2) + " g is SHORT by " + plain(label - net, 2) + " g");
    }
    const double mean = sum / static_cast<double>(nets.size());
    const bool within = too_short == 0 && mean >= label;
    figure.fields.push_back({"count", static_cast<double>(nets.size())});
    figure.fields.push_back({"mean_g", mean});
    figure.fields.push_back({"short_count", too_short});
    figure.fields.push_back({"within", within});
    figure.value +=
        "; of " + std::to_string(nets.size()) + (nets.size() == 1 ? " jar " : " jars ") +
        plain(too_short, 0) + " short, mean " + plain(mean, 2) + " g: " +
        (within          ? "as labelled"
         : too_short > 0 ? "NOT as labelled"
                         : "NOT as labelled: the mean of all jars may not lie below it");
  }
  figure.lines.push_back("net of jar and lid, weighed empty and dry before filling");
  figure.lines.push_back(kAuthority);
  figure.accuracy =
      "FROM MEMORY: look the row up before a label is printed; a weighing adds its own, see maslin "
      "figure weighing";
  figure.range = "labels up to 1120 g; an inspector weighs a sample and corrects its mean";
  figure.source = "NIST Handbook 133, table 2-5, from memory, one row checked";
  return figure;
}

}  // namespace maslin::figures
