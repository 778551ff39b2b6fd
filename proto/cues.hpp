// The catalogue of cues: every id that the engine may send, how urgent it is, how it sounds, and
// what comes of it when nobody answers.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>

namespace maslin::proto {

// What comes of a cue that nobody answers; batch/voice does it.
enum class Unanswered : std::uint8_t {
  once,      // said once
  answers,   // said once, and what stood before it is answered by it
  asked,     // waits for the cook: said again twice with more weight, then it stands on the screen
  until_act  // said again until something is done, for some minutes; then it stands
};

struct CueKind {
  std::string_view id;
  int urgency;  // 4 now, tone and voice, repeats; 3 soon; 2 next; 1 once, quietly
  std::string_view
      tone;  // "rising", "steady low", "" for none: a stop must be a tone, speech is too slow
  Unanswered unanswered;
  int again_s;  // asked, until_act: said again for the first time after so long; 0 otherwise
  std::string_view means;  // for whoever writes a cue plugin
};

std::span<const CueKind> cue_catalogue();
const CueKind* find_cue(std::string_view id);  // nullptr where the id is not in the catalogue
// "once", "after 1 min, 3 min, then stands", "every 15 s until acted on".
std::string unanswered_text(const CueKind& kind);
// The catalogue as a JSON array of objects with the fields of CueKind.
std::string cue_catalogue_json();

}  // namespace maslin::proto
