// The catalogue of cautions: one line each, said once a batch at its step, with the class of
// evidence behind it. plan/ picks those that belong to a formula.
#pragma once

#include <span>
#include <string_view>

namespace maslin::preserving {

struct CautionEntry {
  std::string_view id;        // "own formula", "hot peppers" ...
  std::string_view at;        // the step it belongs to: plan, cutting, weighing, first boil ...
  std::string_view text;      // one line, said as it stands
  std::string_view evidence;  // published; published, from memory; common practice; from memory
};

std::span<const CautionEntry> caution_catalogue();
const CautionEntry& caution(std::string_view id);  // id must be in the catalogue

}  // namespace maslin::preserving
