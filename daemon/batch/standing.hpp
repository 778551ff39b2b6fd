// Food that is cooked and not yet through its bath does not stand for hours: a watched clock from
// the filled jars to the bath, and any span without watching. Part of the desk.
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

namespace maslin::batch {

class Desk;

class Standing {
 public:
  void filled(const Desk& desk);
  void in_the_bath() { since_ms_.reset(); }
  void time_passed(Desk& desk);
  std::optional<std::int64_t> deadline_ms() const;
  // Nobody watched for so long while food stood about.
  void unwatched(Desk& desk, std::int64_t gap_ms);
  // It has stood for too long: its jars are to be discarded.
  bool left() const { return left_; }

 private:
  void leave(Desk& desk, const char* how, std::int64_t for_ms);

  std::optional<std::int64_t> since_ms_;
  bool left_ = false;
};

// What to do with pan, canner and jars in a hold that begins in an operation of the kind `is`, and
// whether something stands over the heat in it.
void mind_the_pan(Desk& desk, std::string_view is);

}  // namespace maslin::batch
