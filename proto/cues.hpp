// The catalogue of cues: every id that the engine may send, how urgent it is and how it sounds.
#pragma once

#include <span>
#include <string>
#include <string_view>

namespace maslin::proto {

struct CueKind {
  std::string_view id;
  int urgency;  // 4 now, tone and voice, repeats; 3 soon; 2 next; 1 once, quietly
  std::string_view
      tone;  // "rising", "steady low", "" for none: a stop must be a tone, speech is too slow
  std::string_view means;  // for whoever writes a cue plugin
};

std::span<const CueKind> cue_catalogue();
const CueKind* find_cue(std::string_view id);  // nullptr where the id is not in the catalogue
// The catalogue as a JSON array of objects with the fields of CueKind.
std::string cue_catalogue_json();

}  // namespace maslin::proto
