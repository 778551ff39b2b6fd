// What a figure of `maslin figure` is: the answer to one question at the counter, with how good it
// is, where it holds and where it comes from. Made by the files of this folder, printed by the
// program maslin-figure.
#pragma once

#include <string>
#include <variant>
#include <vector>

namespace maslin::figures {

// One named value of an answer. A number that is not finite has no limit; JSON says null for it.
struct Field;
using Record = std::vector<Field>;
struct Field {
  std::string name;  // snake_case with the unit in it
  std::variant<double, bool, std::string, Record, std::vector<Record>> value;
};

struct Figure {
  Record fields;
  // For people, each a line or more without the last newline: what it is; how good it is; where it
  // holds.
  std::string value;
  std::string accuracy;
  std::string range;
  std::vector<std::string> lines;  // what it is made of, printed behind the accuracy
  std::string source;  // document and table or equation, or "common practice, no source"
  std::string beyond;  // why it does not hold for what was asked; empty where it holds: valid
};

std::string to_text(const Figure& figure);
// One object on one line: the fields, then accuracy, range, source, valid, and what is beyond.
std::string to_json(const Figure& figure);

}  // namespace maslin::figures
