// The table of figures and the question put.
#include "daemon/figures/figures.hpp"

#include <algorithm>

#include "daemon/figures/kinds.hpp"
#include "daemon/figures/words.hpp"

namespace maslin::figures {
namespace {

using enum OptionKind::Need;

const OptionKind kInterval{"interval", "MASS", "the scale interval d: 1 g", required};
const OptionKind kClass{"class", "CLASS", kClassHelp, optional};

constexpr const char* kAltitudeHelp = "of the kitchen: \"640 m\", \"2100 ft\"";
constexpr const char* kPressureHelp = "true air pressure at the place: \"940 hPa\", \"27.8 inHg\"";

}  // namespace

const std::vector<Kind>& kinds() {
  static const std::vector<Kind> all{
      {"weighing",
       "the net of two indications, how good it is and why",
       "--tare 412.6 --gross 562.6 --interval 0.1",
       {{"tare", "MASS", "the indication before", required},
        {"gross", "MASS", "the indication after", required},
        kInterval,
        {"density", "DENSITY", "of what is weighed, for its true mass: 1590 (kg/m3)", optional},
        kClass,
        {"capacity", "MASS", "what the scale carries; its class then knows how fine it can be",
         optional},
        {"repeatability", "MASS[:DOF]",
         "standard deviation of an indication, with its degrees of freedom; else 0.1 d", optional}},
       weighing},
      {"conformity",
       "is a value inside its limits, and how sure is that",
       "--value 117 --uncertainty 0.43 --lower 115.6 --upper 120.4",
       {{"value", "VALUE", "what was measured", required},
        {"uncertainty", "VALUE", "its standard uncertainty, in the same unit", required},
        {"lower", "VALUE", "the limit below", optional},
        {"upper", "VALUE", "the limit above", optional}},
       conformity},
      {"guard",
       "how far inside a limit a value must lie",
       "--uncertainty 0.43 --risk \"5 %\"",
       {{"uncertainty", "MASS", "standard uncertainty of the value", required},
        {"risk", "SHARE", "that what is accepted is beyond the limit: 0.05, \"5 %\"", required}},
       guard},
      {"smallest",
       "the smallest amount that a scale can check to a band",
       "--interval 1 --band-pct 5",
       {kInterval, {"band-pct", "PERCENT", "the band to either side: 5", required}, kClass},
       smallest},
      {"budget",
       "components of an uncertainty to one, with its coverage",
       "--component 25:18 --component 9.7:25.6 --component 2.9:50 --component 16.6:2",
       {{"component", "VALUE[:DOF]", "a standard uncertainty, with its degrees of freedom; again",
         repeated},
        {"confidence", "SHARE", "what the expanded uncertainty shall hold, else 95 %", optional}},
       budget},
      {"scale",
       "the calibration of a scale with known masses",
       "--load 100:0.03=100 --load 500:0.15=501 --load 1000:0.3=1002",
       {{"load", "KNOWN[:U]=INDICATED",
         "a known mass, its standard uncertainty, what was shown; again; 0=1 is the empty pan",
         repeated},
        {"water", "TEMPERATURE", "the known masses are millilitres of water this warm: \"20 C\"",
         optional},
        {"interval", "MASS", "the scale interval d; else the last digit that is written", optional},
        {"repeatability", "MASS", "standard deviation of an indication; else 0.1 d", optional},
        {"used-to", "MASS", "the largest load that the scale is used for", optional},
        kClass,
        {"capacity", "MASS", "what the scale carries", optional}},
       scale},
      {"corner",
       "is a scale the same at the corners of its pan",
       "--load 1500 --centre 1500 --corner 1501 --corner 1499 --corner 1500 --corner 1502 "
       "--interval 1",
       {{"load", "MASS", "the load, about a third of what the scale carries", required},
        {"centre", "MASS", "what it weighs on the middle of the pan", required},
        {"corner", "MASS", "what it weighs at a corner; again for each", repeated},
        kInterval,
        kClass,
        {"capacity", "MASS", "what the scale carries", optional}},
       corner},
      {"warm-up",
       "how long a scale warms up",
       "--level 0=0:995 --level 5=1:999 --level 10=2:1002 --level 30=2:1002 --interval 1",
       {{"level", "MINUTES=EMPTY:LOADED",
         "minutes since it was switched on, the empty pan, the same load; again", repeated},
        kInterval},
       warm_up},
      {"rescue",
       "the smallest larger batch that takes an over-pour back into its band",
       "--formula jelly.toml --in \"cider vinegar=385 g\" --stock \"sugar=2 kg\"",
       {{"formula", "FILE", "the formula", required, true},
        {"in", "NAME=MASS", "what is in already and cannot come out; again", repeated},
        {"stock", "NAME=MASS", "how much more of it there is, else enough; again", any_number}},
       rescue},
      {"boiling",
       "where water boils here",
       "--altitude \"640 m\"",
       {{"altitude", "ALTITUDE", kAltitudeHelp, optional},
        {"pressure", "PRESSURE", kPressureHelp, optional}},
       boiling},
      {"pressure",
       "the standard air pressure of an altitude",
       "--altitude \"4000 ft\"",
       {{"altitude", "ALTITUDE", kAltitudeHelp, required}},
       pressure},
      {"setting",
       "where a jelly without added pectin sets, by two rules",
       "--altitude \"640 m\"",
       {{"altitude", "ALTITUDE", kAltitudeHelp, required}},
       setting},
      {"probe",
       "a thermometer held against ice and the local boil",
       "--ice \"0.4 C\" --boiling \"97.9 C\" --pressure \"937.6 hPa\"",
       {{"ice", "TEMPERATURE", "what it shows in stirred ice", required},
        {"boiling", "TEMPERATURE", "what it shows in water that boils hard", required},
        {"pressure", "PRESSURE", kPressureHelp, optional},
        {"altitude", "ALTITUDE", kAltitudeHelp, optional}},
       probe},
      {"syrup",
       "what a syrup of so many percent boils at, weighs and bends",
       "--solids 65",
       {{"solids", "PERCENT", "soluble solids by mass, as sucrose", required},
        {"pressure", "PRESSURE", kPressureHelp, optional}},
       syrup},
      {"solids",
       "soluble solids from the boil or from a refractometer",
       "--boiling \"103.8 C\" --pressure \"1013.25 hPa\"",
       {{"boiling", "TEMPERATURE", "at which it boils", optional},
        {"pressure", "PRESSURE", kPressureHelp, optional},
        {"refractive-index", "INDEX", "as the refractometer shows it", optional},
        {"temperature", "TEMPERATURE", "of the drop on it; else 20 °C", optional}},
       solids},
      {"brine",
       "what a brine of so many percent is",
       "--salt-pct 9.09",
       {{"salt-pct", "PERCENT", "salt by mass of the brine", required},
        {"short", "MASS", "of brine that is missing: made again in its own proportion", optional}},
       brine},
      {"cure",
       "the salt of an equilibrium cure",
       "--meat \"1.2 kg\" --salt-pct 2.5 --basis meat",
       {{"meat", "MASS", "trimmed and weighed", required},
        {"water", "MASS", "that it lies in, counted with --basis meat-and-water", optional},
        {"salt-pct", "PERCENT", "of the basis", required},
        {"basis", "BASIS", "meat, or meat-and-water", required}},
       cure},
      {"nitrite",
       "ingoing nitrite against its limit",
       "--cure 2.5 --nitrite-fraction 0.0625 --meat 1000 --product comminuted",
       {{"cure", "MASS", "curing salt that is used, all of it", required},
        {"nitrite-fraction", "SHARE", "of sodium nitrite in it by its label: 0.0625", required},
        {"meat", "MASS", "green weight", required},
        {"pump-pct", "PERCENT", "of its own weight that the meat takes of the pickle", optional},
        {"pickle", "MASS", "that the cure is dissolved in, all of it", optional},
        {"product", "PRODUCT", "as the rule names it: comminuted, \"dry cured\" ...", required}},
       nitrite},
      {"drying",
       "what is left when it is dry",
       "--mass 1000 --water-pct 87.74 --target-pct 10",
       {{"mass", "MASS", "before, trimmed", required},
        {"water-pct", "PERCENT", "of water in it", required},
        {"target-pct", "PERCENT", "of water in what is left", required}},
       drying},
      {"grams",
       "what a measured amount weighs",
       "\"1 1/3 cups\" \"granulated sugar\"",
       {{"amount", "AMOUNT", "as a kitchen measures it", required, false, true},
        {"ingredient", "INGREDIENT", "and its form: \"onion, chopped\"", required, false, true}},
       grams},
      {"water-bath",
       "the printed time in a boiling-water bath",
       "\"jelly or jam\" --jar \"250 mL\" --altitude \"640 m\"",
       {{"product", "PRODUCT", "as the table names it", required, false, true},
        {"jar", "SIZE", "what one holds: \"250 mL\", half-pint", required},
        {"altitude", "ALTITUDE", kAltitudeHelp, required}},
       water_bath},
      {"sterilise",
       "how long empty jars boil before a short process",
       "--altitude \"2100 ft\"",
       {{"altitude", "ALTITUDE", kAltitudeHelp, required}},
       sterilise},
      {"acid-dwell",
       "how long an acidified food that is filled hot stays hot, for information",
       "--temperature \"75 C\" --ph 4.3",
       {{"temperature", "TEMPERATURE", "of the coldest place, with its unit", required},
        {"ph", "PH", "at equilibrium: 4.1 to 4.6", required}},
       acid_dwell},
      {"lethality",
       "a temperature over time as minutes at a reference",
       "--csv core.csv --reference \"200 F\" --z \"16 F\"",
       {{"csv", "FILE", "rows of minutes and temperature", required, true},
        {"reference", "TEMPERATURE", "in the unit of the file", required},
        {"z", "DIFFERENCE", "in the same unit", required}},
       lethality},
      {"acidity",
       "plain acetic acid of a strength, for information",
       "--strength \"5 %\"",
       {{"strength", "STRENGTH", "by the label: \"5 %\", \"50 grain\"", required}},
       acidity},
      {"ph",
       "a measured equilibrium pH against its limit",
       "--ph 3.9 --hours 30 --temperature \"21 C\" --low 4.01=4.03 --high 7=6.98 --resolution 0.01",
       {{"ph", "PH", "what the meter shows in the mixed contents of a jar", required},
        {"hours", "HOURS", "since the process ended", required},
        {"temperature", "TEMPERATURE", "of the sample", required},
        {"low", "BUFFER=SHOWN", "the buffer below and what the meter showed in it", required},
        {"high", "BUFFER=SHOWN", "the one above", required},
        {"resolution", "PH", "the last digit of the display: 0.01", required},
        {"limit", "PH", "of the formula; else 4.6", optional}},
       ph},
      {"water-activity",
       "of sugars and salt in water",
       "--sucrose 65 --water 35",
       {{"sucrose", "MASS", "dissolved", optional},
        {"glucose", "MASS", "dissolved", optional},
        {"fructose", "MASS", "dissolved", optional},
        {"salt", "MASS", "dissolved", optional},
        {"water", "MASS", "all of it", required}},
       water_activity},
      {"jelly-fruit",
       "what the rule for fruit jelly counts of a juice, for a label",
       "--fruit apple --juice \"1 kg\" --solids 13.3 --sugar \"1.1 kg\"",
       {{"fruit", "FRUIT", "as 21 CFR 150.140 names it: apple, \"red currant\" ...", required},
        {"juice", "MASS", "that went in", required},
        {"solids", "PERCENT", "soluble solids of it, before anything is added", required},
        {"sugar", "MASS", "all sweeteners, as solids", required}},
       jelly_fruit},
      {"net-weight",
       "how far a jar may fall short of its label",
       "--label \"250 g\" --net \"251 g\" --net \"249 g\"",
       {{"label", "MASS", "the net weight that the label states", required},
        {"net", "MASS", "what is in a jar, weighed; again for each", any_number}},
       net_weight},
      {"platinum",
       "ohms and degrees of a platinum thermometer of 100 ohm",
       "--ohm 138.51",
       {{"ohm", "OHM", "its resistance", optional},
        {"temperature", "TEMPERATURE", "with its unit", optional}},
       platinum},
      {"cautions", "all that the tool warns of, by step and evidence", "", {}, cautions},
  };
  return all;
}

proto::Results<Figure> figure(std::string_view name, std::vector<Given> given) {
  const auto kind = std::find_if(kinds().begin(), kinds().end(),
                                 [&](const Kind& one) { return one.name == name; });
  if (kind == kinds().end()) {
    std::string names;
    for (const Kind& one : kinds()) names += (names.empty() ? "" : ", ") + one.name;
    return tl::unexpected(proto::Troubles{
        {"there is no such figure", proto::excerpt(name, 60), "ask for one of: " + names}});
  }
  proto::Troubles troubles;
  for (const Given& one : given) {
    const bool known =
        std::any_of(kind->options.begin(), kind->options.end(),
                    [&](const OptionKind& option) { return option.name == one.option; });
    if (!known) {
      troubles.push_back({kind->name + " has no such option", "--" + proto::excerpt(one.option, 60),
                          "maslin figure " + kind->name + " --help lists them"});
    }
  }
  if (!troubles.empty()) return tl::unexpected(troubles);
  Asked asked(std::move(given));
  for (const OptionKind& option : kind->options) {
    const bool needed = option.need == required || option.need == repeated;
    if (needed && asked.given(option.name) == nullptr) {
      asked.refuse("is missing", option.name, "give it: " + option.what);
    }
  }
  return kind->make(asked);
}

}  // namespace maslin::figures
