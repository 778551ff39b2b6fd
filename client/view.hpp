// What `maslin follow` knows and shows: fed with the daemon's events, drawn as a screen or as one
// line an event. Pure; follow.cpp brings the events and the terminal.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "proto/entry.hpp"
#include "proto/methods.hpp"

namespace maslin::client {

struct ViewLine {
  std::string text;   // cleaned, without a line end
  bool loud = false;  // to be seen from the other side of the kitchen
};

class View {
 public:
  void take(const proto::BatchStatus& status);
  void take(const proto::Entry& entry);
  void take(const proto::Progress& progress);
  // A line of our own beneath the screen: an answer that was refused.
  void say(std::string text) { said_ = std::move(text); }

  // complete, stopped or aborted: nothing more will come.
  bool ended() const;
  const std::string& state() const { return status_.state; }

  // The whole screen, at most `rows` lines of at most `columns`. Where it is too small for large
  // figures, the words win.
  std::vector<ViewLine> screen(std::size_t columns, std::size_t rows) const;

 private:
  void take_net(double net_g);
  // What is given up where the rows are few: first the large figures, then what comes next, then
  // the caution that was said at the step.
  enum class Room : std::uint8_t { large, small, least, bare };
  std::vector<ViewLine> lines(std::size_t columns, Room room) const;

  proto::BatchStatus status_;
  std::string cue_;
  std::int64_t cue_at_ms_ = -1;  // < 0: not known
  bool now_ = false;             // it cannot wait
  int urgency_ = 0;              // that something lesser must not hide; 0 where anything may
  std::string also_;             // a lesser cue, said while the urgent one above is fresh
  std::string said_;
  int decimals_ = 0;  // of a gram, as far as the scale has shown them for this ingredient
};

// The line of an entry for a screen that only scrolls, with the time since `since_ms`; nullopt
// where the entry says nothing to the cook that another line does not say.
std::optional<std::string> event_line(const proto::Entry& entry, std::int64_t since_ms);

// True where the terminal should sound for it: urgency 4.
bool sounds(const proto::Entry& entry);

// Where an amount stands beside its band, `columns` wide: the band lighter, filled up to the
// amount; what is past the band shows as '!'.
std::string band_bar(double net, double lower, double upper, std::size_t columns);
// "under", "within" or "over by 2.1 g": a bar alone says nothing to who cannot see it well.
std::string band_word(double net, double lower, double upper);

}  // namespace maslin::client
