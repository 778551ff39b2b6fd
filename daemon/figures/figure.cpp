// The two forms of a figure.
#include "daemon/figures/figure.hpp"

#include <array>
#include <charconv>
#include <cmath>

#include "proto/json.hpp"

namespace maslin::figures {
namespace {

std::string json(const Record& record);

// Digits that give the same double again, and no more.
std::string json(double value) {
  if (!std::isfinite(value)) return "null";
  std::array<char, 64> digits{};
  const auto [end, fault] = std::to_chars(digits.data(), digits.data() + digits.size(), value);
  return std::string(digits.data(), end);
}

std::string json(bool value) { return value ? "true" : "false"; }

std::string json(const std::string& text) { return proto::json_string(text); }

std::string json(const std::vector<Record>& records) {
  std::vector<std::string> texts;
  texts.reserve(records.size());
  for (const Record& record : records) texts.push_back(json(record));
  return proto::json_array(texts);
}

std::string json(const Record& record) {
  std::string text;
  for (const Field& field : record) {
    text += (text.empty() ? "" : ",") + proto::json_string(field.name) + ":" +
            std::visit([](const auto& value) { return json(value); }, field.value);
  }
  return "{" + text + "}";
}

}  // namespace

std::string to_json(const Figure& figure) {
  Record all = figure.fields;
  all.push_back({"accuracy", figure.accuracy});
  all.push_back({"range", figure.range});
  all.push_back({"source", figure.source});
  all.push_back({"valid", figure.beyond.empty()});
  if (!figure.beyond.empty()) all.push_back({"beyond", figure.beyond});
  return json(all);
}

std::string to_text(const Figure& figure) {
  std::string text = figure.value + "\n";
  const auto line = [&](const char* title, const std::string& words) {
    if (!words.empty()) text += std::string(title) + ": " + words + "\n";
  };
  line("Good to", figure.accuracy);
  if (!figure.lines.empty()) text += "Made of:\n";
  for (const std::string& one : figure.lines) text += "  " + one + "\n";
  line("Holds for", figure.range);
  line("Source", figure.source);
  line("NOT VALID HERE", figure.beyond);
  return text;
}

}  // namespace maslin::figures
