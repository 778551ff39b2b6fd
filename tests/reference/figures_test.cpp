// Figures of `maslin figure`, asked as on the command line, against published worked examples and
// tables computed outside the project; the source stands in the first line of each file.
#include <gtest/gtest.h>

#include <cmath>
#include <map>

#include "daemon/figures/figures.hpp"
#include "daemon/quantity/platinum.hpp"
#include "tests/reference/csv.hpp"

namespace maslin::figures {
namespace {

using reference::Row;
using reference::table;

constexpr double kSixDigits = 1e-6;
constexpr double kFiveDigits = 0.51e-5;

// What was answered; a trouble fails the test.
class Answer {
 public:
  Answer(std::string_view name, const std::vector<std::pair<std::string, std::string>>& options) {
    std::vector<Given> given;
    for (const auto& [option, text] : options) {
      if (!text.empty()) given.push_back({option, text, ""});
    }
    const auto answer = figure(name, given);
    if (!answer) {
      ADD_FAILURE() << proto::line(answer.error().front());
      return;
    }
    for (const Field& field : answer->fields) fields_[field.name] = field;
  }
  double number(const std::string& name) { return std::get<double>(fields_.at(name).value); }
  std::string text(const std::string& name) {
    return std::get<std::string>(fields_.at(name).value);
  }

 private:
  std::map<std::string, Field> fields_;
};

// The rows without a term of drift or calibration, which the figure is not asked with.
TEST(NetBudgetTable, FigureWeighing) {
  int rows = 0;
  for (const Row& row : table("net_budget.csv")) {
    const bool by_class = row.text("linearity") == "net mpe";
    if ((!by_class && row.text("linearity") != "none") || row.number("evaporation_g_s") != 0) {
      continue;
    }
    SCOPED_TRACE(row.shown());
    ++rows;
    // The table gives e; class III with 10000 e is how a scale states it.
    Answer answer("weighing", {{"tare", row.text("tare_g")},
                               {"gross", row.text("gross_g") + " g"},
                               {"interval", row.text("interval_g")},
                               {"repeatability", row.text("repeatability_g")},
                               {"density", row.text("density_kg_m3")},
                               {"class", by_class ? "III" : ""},
                               {"capacity", std::to_string(10'000.0 * row.number("e_g"))}});
    EXPECT_NEAR(answer.number("mass_g"), row.number("net_g"), kSixDigits);
    EXPECT_NEAR(answer.number("standard_uncertainty_g"), row.number("u_g"), kSixDigits);
    EXPECT_NEAR(answer.number("expanded_uncertainty_g"), row.number("half95_g"), kSixDigits);
  }
  EXPECT_EQ(rows, 11);
}

TEST(BuoyancyExamples, FigureWeighing) {
  for (const Row& row : table("buoyancy_examples.csv")) {
    SCOPED_TRACE(row.shown());
    const std::string& unit = row.text("unit");
    Answer answer("weighing", {{"tare", "0"},
                               {"gross", row.text("indication") + unit},
                               {"interval", "1 mg"},
                               {"density", row.text("density_kg_m3")}});
    const double in_unit = answer.number("mass_g") * (unit == "mg" ? 1000.0 : 1.0);
    // Half of the last digit given.
    EXPECT_NEAR(in_unit, row.number("true_mass"), 0.51e-4);
  }
}

TEST(Jcgm106Examples, FigureConformityAndGuard) {
  const auto examples = table("jcgm106_examples.csv");
  Answer breakdown("conformity", {{"value", "-5.47"}, {"uncertainty", "0.05"}, {"upper", "-5.40"}});
  EXPECT_NEAR(breakdown.number("probability"), examples[0].number("computed"), kFiveDigits);
  Answer oil("conformity",
             {{"value", "13.6"}, {"uncertainty", "1.8"}, {"lower", "12.5"}, {"upper", "16.3"}});
  EXPECT_NEAR(oil.number("probability"), examples[1].number("computed"), kFiveDigits);
  EXPECT_EQ(oil.text("verdict"), "undecided");
  // A guard band of 2 u against a risk of 2.275 %, and 1.64 u against 5.05 %.
  Answer twice("guard", {{"uncertainty", "1"}, {"risk", "0.0227501"}});
  EXPECT_NEAR(twice.number("guard_band_g"), 2.0, 1e-5);
  Answer one_sided("guard", {{"uncertainty", "1"}, {"risk", std::to_string(1.0 - 0.94950)}});
  EXPECT_NEAR(one_sided.number("guard_band_g"), 1.64, 1e-4);
}

TEST(RatioGuardTable, FigureGuard) {
  for (const Row& row : table("ratio_guard.csv")) {
    SCOPED_TRACE(row.shown());
    Answer answer("guard", {{"uncertainty", row.text("u_g")}, {"risk", "5 %"}});
    EXPECT_NEAR(answer.number("guard_band_g"), row.number("guard95_g"), 1e-5);
  }
}

// The rows without a linearity of their own and with the usual repeatability.
TEST(PlanCheckTable, FigureSmallest) {
  int rows = 0;
  for (const Row& row : table("plan_check.csv")) {
    if (row.number("lin_g") != 0) continue;
    SCOPED_TRACE(row.shown());
    ++rows;
    Answer answer("smallest",
                  {{"interval", row.text("interval_g")}, {"band-pct", row.text("tolerance_pct")}});
    EXPECT_NEAR(answer.number("mass_g"), row.number("smallest_mass_g"), 0.0051);
  }
  EXPECT_EQ(rows, 18);
}

// The row of class III: 150 g to 1 % on d = e = 1 g, where the permissible error is 1 g up to 500
// g.
TEST(PlanCheckTable, FigureSmallestOfAClass) {
  Answer answer("smallest", {{"interval", "1"}, {"band-pct", "1"}, {"class", "III"}});
  EXPECT_NEAR(answer.number("mass_g"), 136.04, 0.0051);
  // OIML R 76-1:2006 table 3: never below the least load, 20 e.
  Answer wide("smallest", {{"interval", "1"}, {"band-pct", "10"}, {"class", "III"}});
  EXPECT_DOUBLE_EQ(wide.number("mass_g"), 20.0);
}

// JCGM 100:2008 annex H.1: the components in nm with their degrees of freedom (from memory).
TEST(GumAnnexH1, FigureBudget) {
  std::vector<Given> given{{"confidence", "99 %", ""}};
  for (const char* component : {"25:18", "9.7:25.6", "2.9:50", "16.6:2"}) {
    given.push_back({"component", component, ""});
  }
  const auto answer = figure("budget", given);
  ASSERT_TRUE(answer);
  std::map<std::string, double> found;
  for (const Field& field : answer->fields) found[field.name] = std::get<double>(field.value);
  EXPECT_NEAR(found["combined"], 32, 0.5);
  EXPECT_EQ(std::floor(found["effective_dof"]), 16);
  EXPECT_NEAR(found["coverage_factor"], 2.920782, 0.51e-6);
  EXPECT_NEAR(found["expanded"], 93, 1.0);  // the example multiplies the rounded 32 nm
}

TEST(ScaleTwoPointTable, FigureScale) {
  for (const Row& row : table("scale_two_point.csv")) {
    SCOPED_TRACE(row.shown());
    const auto answer = figure(
        "scale",
        {{"load", "0=" + row.text("zero_indication_g"), ""},
         {"load", row.text("mass_g") + ":" + row.text("u_mass_g") + "=" + row.text("indication_g"),
          ""},
         {"interval", row.text("interval_g"), ""},
         {"repeatability", row.text("repeatability_g"), ""}});
    ASSERT_TRUE(answer);
    std::map<std::string, Field> found;
    for (const Field& field : answer->fields) found[field.name] = field;
    EXPECT_NEAR(std::get<double>(found["slope"].value), row.number("span"), 1e-7);
    EXPECT_NEAR(1e6 * std::get<double>(found["slope_uncertainty"].value), row.number("u_span_ppm"),
                0.051);
    EXPECT_EQ(std::get<bool>(found["accepted"].value), row.text("decision") != "refuse");
    EXPECT_EQ(std::get<bool>(found["applied"].value), row.text("decision") == "apply");
  }
}

// At each row's own temperature in both units as printed, and just below the next one.
TEST(Breidt2014Table4, FigureAcidDwell) {
  const auto rows = table("breidt2014_5log_table4.csv");
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const Row& row = rows[i];
    SCOPED_TRACE(row.shown());
    const double minutes = row.number("minutes_5log");
    std::vector<std::string> temperatures{row.text("T_F") + " F", row.text("T_C") + " C"};
    if (i + 1 < rows.size()) {
      temperatures.push_back(std::to_string(row.number("T_F") + 0.9) + " F");
    }
    for (const auto& temperature : temperatures) {
      for (const char* ph : {"4.1", "4.6"}) {
        Answer answer("acid-dwell", {{"temperature", temperature}, {"ph", ph}});
        EXPECT_DOUBLE_EQ(answer.number("minutes"), minutes) << temperature;
      }
    }
  }
}

TEST(Cfr150JellyFactors, FigureJellyFruit) {
  for (const Row& row : table("cfr150_jelly_factors.csv")) {
    SCOPED_TRACE(row.shown());
    Answer answer(
        "jelly-fruit",
        {{"fruit", row.text("fruit")}, {"juice", "1000"}, {"solids", "10"}, {"sugar", "1000"}});
    EXPECT_DOUBLE_EQ(answer.number("factor"), row.number("factor"));
    // 150.140(d): juice x percent x factor / 100.
    EXPECT_NEAR(answer.number("fruit_g"), 1000 * 10 * row.number("factor") / 100, 1e-9);
  }
}

// From memory, one row checked. At the last gram of each row and just over its first; the pounds
// beside the grams are the handbook's own rounding, to 0.002 lb.
TEST(NistHandbook133Table25, FigureNetWeight) {
  const auto allowed = [](double label_g) {
    Answer answer("net-weight", {{"label", std::to_string(label_g)}});
    return answer.number("mav_g");
  };
  for (const Row& row : table("nist_hb133_mav_weight.csv")) {
    SCOPED_TRACE(row.shown());
    if (row.text("mav_g").starts_with("10%")) {
      EXPECT_NEAR(allowed(20), 2, 1e-9);
      EXPECT_NEAR(allowed(35.9), 3.59, 1e-9);
      continue;
    }
    EXPECT_DOUBLE_EQ(allowed(row.number("label_to_g_incl")), row.number("mav_g"));
    EXPECT_DOUBLE_EQ(allowed(row.number("label_from_g_excl") + 0.01), row.number("mav_g"));
    EXPECT_NEAR(row.number("mav_lb") * 453.59237, row.number("mav_g"), 0.1);
  }
}

// Printed to two decimals, computed to four; one row has no printed value.
TEST(Iec60751Pt100, FigurePlatinum) {
  for (const Row& row : table("pt100_iec60751.csv")) {
    SCOPED_TRACE(row.shown());
    Answer forth("platinum", {{"temperature", row.text("T_C") + " C"}});
    EXPECT_NEAR(forth.number("resistance_ohm"), row.number("ohm_computed"), 0.51e-4);
    if (!row.empty("ohm_printed")) {
      EXPECT_NEAR(forth.number("resistance_ohm"), row.number("ohm_printed"), 0.0051);
    }
    const double celsius = row.number("T_C");
    EXPECT_NEAR(quantity::platinum_class_a_c(celsius), row.number("tolA_C"), 1e-9);
    EXPECT_NEAR(quantity::platinum_class_b_c(celsius), row.number("tolB_C"), 1e-9);
    if (celsius >= -100) {  // at -200 °C both classes have ended
      EXPECT_NEAR(forth.number("class_a_c"), row.number("tolA_C"), 1e-9);
      EXPECT_NEAR(forth.number("class_b_c"), row.number("tolB_C"), 1e-9);
    }
    // Half of the last digit of ohms is 1.3e-4 K.
    Answer back("platinum", {{"ohm", row.text("ohm_computed")}});
    EXPECT_NEAR(back.number("temperature_c"), row.number("T_C"), 1.4e-4);
  }
}

}  // namespace
}  // namespace maslin::figures
