// All figures by name: what each is asked with, and the question put. Called by the program
// maslin-figure. A new figure is a file of this folder, its declaration in `kinds.hpp` and a line
// in the table of figures.cpp.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "daemon/figures/asked.hpp"
#include "daemon/figures/figure.hpp"

namespace maslin::figures {

struct OptionKind {
  enum Need { required, optional, repeated, any_number };
  std::string name;      // without dashes
  std::string argument;  // what stands behind it in the help: "MASS"
  std::string what;      // one line of help
  Need need = required;  // repeated: once at least; any_number: again and again, or not
  bool file = false;     // the argument names a file, whose content the figure gets
  bool bare = false;     // given by its place, without its name
};

struct Kind {
  std::string name;
  std::string what;     // one line of help
  std::string example;  // options of a line that works
  std::vector<OptionKind> options;
  proto::Results<Figure> (*make)(Asked& asked);
};

const std::vector<Kind>& kinds();

// The figure of this name. Troubles: no such figure, an option that it does not have, and all that
// is wrong with the options' values. Pure.
proto::Results<Figure> figure(std::string_view name, std::vector<Given> given);

}  // namespace maslin::figures
