// When a device that could not be opened is looked at again, and when that is said. Pure: time
// comes in as an argument, in nanoseconds. Called by usb.cpp.
#pragma once

#include <algorithm>
#include <cstdint>
#include <optional>

namespace maslin::hid {

enum class Look {
  done,     // opened, or none of this program's business
  unclear,  // not known yet whether it weighs
  refused,  // it weighs and could not be opened
};

class Tries {
 public:
  // The next look; nothing where it has been looked at for good.
  std::optional<std::int64_t> due() const { return due_; }

  // What a look gave. True where a refusal is to be said, once: at the second, for a scale that has
  // just been plugged in gets its access a moment later.
  bool looked(Look look, std::int64_t now) {
    const bool again =
        look == Look::refused || (look == Look::unclear && ++unclear_ < most_unclear);
    due_ = again ? std::optional(now + pause_) : std::nullopt;
    pause_ = std::min(2 * pause_, longest_pause);
    return look == Look::refused && ++refused_ == 2;
  }

 private:
  static constexpr std::int64_t second = 1'000'000'000;
  static constexpr std::int64_t longest_pause = 30 * second;
  // A device that nobody may open and nothing calls a scale is let be after half a minute.
  static constexpr int most_unclear = 6;

  std::optional<std::int64_t> due_ = 0;
  std::int64_t pause_ = second;
  int unclear_ = 0;
  int refused_ = 0;
};

}  // namespace maslin::hid
