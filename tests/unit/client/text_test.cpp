// Untrusted words, widths, columns and figures.
#include "client/text.hpp"

#include <gmock/gmock.h>

namespace maslin::client {
namespace {

using testing::ElementsAre;

TEST(Clean, LeavesWordsOfAnyLanguageAlone) {
  EXPECT_EQ(clean("Zwiebel-Relish, 1 ½ cups, piment d’Espelette, 酢"),
            "Zwiebel-Relish, 1 ½ cups, piment d’Espelette, 酢");
}

TEST(Clean, TakesTheTeethOutOfTerminalSequences) {
  EXPECT_EQ(clean("\x1b[2J\x1b]0;title\x07"), "?[2J?]0;title?");
  EXPECT_EQ(clean("one\ntwo\r\tthree\x7f"), "one?two??three?");
  EXPECT_EQ(clean("\xc2\x9b"
                  "31m"),
            "?31m")
      << "the one-character form of the lead-in, U+009B";
  EXPECT_EQ(clean(std::string_view("a\0b", 3)), "a?b");
}

TEST(Clean, LetsNothingTurnTheDirectionOfText) {
  EXPECT_EQ(clean("salt \u202egnp.exe\u2066"), "salt ?gnp.exe?");
}

// Unicode Standard, table 3-7: well-formed UTF-8 byte sequences.
TEST(Clean, ReplacesWhatIsNotUtf8) {
  EXPECT_EQ(clean("\xff"
                  "a\x80"),
            "?a?");
  EXPECT_EQ(clean("\xc0\xaf"), "??") << "overlong";
  EXPECT_EQ(clean("\xe0\x80\xaf"), "???") << "overlong";
  EXPECT_EQ(clean("\xed\xa0\x80"), "???") << "surrogate";
  EXPECT_EQ(clean("\xf4\x90\x80\x80"), "????") << "beyond U+10FFFF";
  EXPECT_EQ(clean("\xe2\x82"), "??") << "cut off";
  EXPECT_EQ(first_bad_byte("ab\xe2\x82"), 2U);
  EXPECT_EQ(first_bad_byte("½"), std::nullopt);
}

TEST(Width, CountsCharactersNotBytes) {
  EXPECT_EQ(width("99.6 °C"), 7U);
  EXPECT_EQ(cut("strawberries", 6), "straw…");
  EXPECT_EQ(cut("jam", 6), "jam");
}

TEST(Wrapped, BreaksAtSpacesAndLosesNoWord) {
  EXPECT_THAT(wrapped("pour the vinegar slowly", 12), ElementsAre("pour the", "vinegar", "slowly"));
  EXPECT_THAT(wrapped("aaaaaaaaaa", 4), ElementsAre("aaaa", "aaaa", "aa"));
  EXPECT_THAT(wrapped("", 4), ElementsAre(""));
}

TEST(Wrapped, HangsWhatFollowsFurtherIn) {
  EXPECT_THAT(wrapped("pour the vinegar slowly", 12, 2),
              ElementsAre("pour the", "  vinegar", "  slowly"));
}

TEST(Wrapped, KeepsAnAmountWithItsUnit) {
  EXPECT_THAT(wrapped("at least 20 g of it", 12), ElementsAre("at least", "20 g of it"));
  EXPECT_THAT(wrapped("about 98.5 °C then", 11), ElementsAre("about", "98.5 °C", "then"));
  EXPECT_THAT(wrapped("20 g", 2), ElementsAre("20", "g")) << "where there is no other way";
}

TEST(WholeLine, IsBrokenForATerminalOnly) {
  EXPECT_EQ(whole_line("0:03:12  pour the vinegar slowly, and no more than that", 9),
            "0:03:12  pour the vinegar slowly, and no more than that\n");
  set_columns(40);
  EXPECT_EQ(whole_line("0:03:12  pour the vinegar slowly, and no more than that", 9),
            "0:03:12  pour the vinegar slowly, and no\n         more than that\n");
  set_columns(std::nullopt);
}

TEST(Table, LetsNoSentenceRunDownANarrowColumn) {
  Table table({"setting", "value", "what it is"});
  table.row({"quiet-hours", "22:00 to 07:00", "the same every day between these two hours of it"});
  set_columns(40);
  const std::string text = table.text();
  set_columns(std::nullopt);
  EXPECT_THAT(text, testing::HasSubstr("quiet-hours\n  value: 22:00 to 07:00\n  what it is: the"));
}

TEST(Moment, IsReadWithoutTheLettersOfTheStandard) {
  setenv("TZ", "UTC0", 1);
  tzset();
  EXPECT_EQ(moment_text("2026-11-25T09:30:05Z"), "2026-11-25 09:30");
  EXPECT_EQ(moment_text(""), "");
  EXPECT_EQ(moment_text("2026-11-25T09:xx:05Z"), "2026-11-25T09:xx:05Z");
}

TEST(Moment, IsToldByTheClockOfTheKitchen) {
  setenv("TZ", "QUAY-2", 1);  // two hours east
  tzset();
  EXPECT_EQ(moment_text("2026-11-25T23:30:05Z"), "2026-11-26 01:30");
  unsetenv("TZ");
  tzset();
}

TEST(Columns, BreakPagesAndTables) {
  set_columns(40);
  Table table({"name", ">weigh", "what it is"});
  table.row({"sweet pepper", "115 g", "prepared, critical, on the fine scale of the two"});
  const std::string text = Page()
                               .line(std::string(12, 'x') + " and so on and so on and so on")
                               .raw(table.text(2))
                               .text();
  set_columns(std::nullopt);
  EXPECT_THAT(text, testing::HasSubstr("115 g"));
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = text.find('\n', at);
    EXPECT_LE(width(text.substr(at, end - at)), 40U) << text;
    at = end + 1;
  }
  EXPECT_EQ(table.text(2).find('\n'), table.text(2).find("what it is") + 10) << "as wide as it is";
}

TEST(Table, HasOneSpaceBetweenItsColumnsWhereThatMakesThemFit) {
  Table table({"ingredient", "verdict", "how"});
  table.row({"strawberries", "undecided", "poured"});
  set_columns(30);
  const std::string narrow = table.text();
  set_columns(std::nullopt);
  EXPECT_EQ(narrow,
            "ingredient   verdict   how\n"
            "strawberries undecided poured\n");
}

TEST(Table, StandsRowByRowWhereItsColumnsDoNotFit) {
  Table table({"ingredient", ">aim", ">weighed", "verdict", "how"});
  table.row({"cider vinegar", "385 g", "384 ± 1 g", "undecided", ""});
  set_columns(30);
  const std::string narrow = table.text(2);
  set_columns(std::nullopt);
  EXPECT_EQ(narrow,
            "  cider vinegar\n"
            "    aim: 385 g\n"
            "    weighed: 384 ± 1 g\n"
            "    verdict: undecided\n");
}

TEST(Table, AlignsColumnsAndCleansCells) {
  Table table({"name", ">weigh"});
  table.row({"salt", "5 g"});
  table.row({"onion\x1b[1m", "640 g"});
  EXPECT_EQ(table.text(),
            "name       weigh\n"
            "salt         5 g\n"
            "onion?[1m  640 g\n");
}

TEST(Figures, HaveNoZerosThatMeanNothing) {
  EXPECT_EQ(number(240.50, 2), "240.5");
  EXPECT_EQ(number(240.0, 0), "240");
  EXPECT_EQ(number(-0.001, 2), "0");
  EXPECT_EQ(with_sign(3.5, 1), "+3.5");
  EXPECT_EQ(with_sign(-2, 1), "-2");
  EXPECT_EQ(grams_of_ug(6'500'000), "6.5 g");
  EXPECT_EQ(grams_of_ug(640'000'000), "640 g");
  EXPECT_EQ(celsius(99.64), "99.6 °C");
  EXPECT_EQ(clock_text(3'723'000), "1:02:03");
  EXPECT_EQ(span_text(260'000), "4 min 20 s");
  EXPECT_EQ(span_text(3'900'000), "1 h 5 min");
}

TEST(Numbers, OfJarsAreReadAndWrittenAsRanges) {
  using testing::ElementsAre;
  EXPECT_THAT(numbers_of("3").value(), ElementsAre(3));
  EXPECT_THAT(numbers_of(" 5, 1-3,2 ").value(), ElementsAre(1, 2, 3, 5));
  EXPECT_EQ(numbers_text({1, 2, 3, 5, 7, 8}), "1-3, 5, 7, 8");
  for (const char* wrong : {"", "0", "3-1", "1-", "-1", "1,,2", "1 2", "jar 1", "1000", "1;2",
                            "99999999999999999999"}) {
    EXPECT_FALSE(numbers_of(wrong).has_value()) << wrong;
  }
}

}  // namespace
}  // namespace maslin::client
