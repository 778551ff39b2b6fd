// Packets to bytes and back: u16 type, then the fields in the order of their struct, little-endian;
// a text is u32 length and its bytes. Both ends are of one build, Settings and Hello say so by
// version.
#include "proto/link.hpp"

#include <algorithm>
#include <bit>
#include <cassert>
#include <concepts>
#include <type_traits>

namespace maslin::proto::link {
namespace {

class Writer {
 public:
  template <std::integral T>
  void number(T value) {
    const auto bits = static_cast<std::make_unsigned_t<T>>(value);
    for (std::size_t i = 0; i < sizeof(T); ++i) {
      bytes_.push_back(
          static_cast<std::byte>((static_cast<std::uint64_t>(bits) >> (8 * i)) & 0xFF));
    }
  }
  void flag(bool value) { number(static_cast<std::uint8_t>(value ? 1 : 0)); }
  void text(std::string_view value) {
    number(static_cast<std::uint32_t>(value.size()));
    const auto raw = std::as_bytes(std::span(value));
    bytes_.insert(bytes_.end(), raw.begin(), raw.end());
  }
  void cut(std::string_view value) { text(excerpt(value, longest_text)); }

  void fields(const Settings& p) { number(version), cut(p.argument), flag(p.paced); }
  void fields(const Grant& p) { number(p.until_ns); }
  void fields(const Cue& p) { number(p.at_ns), text(p.text); }
  void fields(const Stop&) {}
  void fields(const Hello& p) {
    number(p.link_version), cut(p.name), flag(p.paced), number(p.shortest_reaction_ns);
  }
  void fields(const Arrived& p) {
    number(p.device), number(p.at_ns);
    number(static_cast<std::uint8_t>(p.quantity)), number(static_cast<std::uint8_t>(p.unit));
    number(p.interval_digits), number(p.capacity_digits);
    number(p.interval_exponent), number(p.capacity_exponent), number(p.period_ns);
    cut(p.vendor), cut(p.product), cut(p.serial), cut(p.port), cut(p.label);
  }
  void fields(const Readings& p) {
    assert(p.all.size() <= most_readings);
    number(static_cast<std::uint16_t>(p.all.size()));
    for (const auto& one : p.all) {
      number(one.device), number(one.at_ns), number(one.digits), number(one.state);
      number(one.exponent), number(one.unit), number(one.quantity);
    }
  }
  void fields(const Left& p) { number(p.device), number(p.at_ns), cut(p.why); }
  void fields(const Log& p) { number(p.level), cut(p.text); }
  void fields(const Reached& p) { number(p.t_ns), number(p.next_ns); }
  void fields(const Beat& p) { number(p.until_ns); }
  void fields(const Listens&) {}
  void fields(const Finished& p) { flag(p.again), cut(p.why); }

  std::vector<std::byte> take() { return std::move(bytes_); }

 private:
  std::vector<std::byte> bytes_;
};

// Reads past the end give zeros and set `broken`, so that a decoder is one straight line.
class Reader {
 public:
  explicit Reader(std::span<const std::byte> bytes) : left_(bytes) {}

  template <std::integral T>
  void number(T& out) {
    out = T{};
    if (left_.size() < sizeof(T)) {
      broken_ = true;
      left_ = {};
      return;
    }
    std::uint64_t bits = 0;
    for (std::size_t i = 0; i < sizeof(T); ++i) {
      bits |= std::to_integer<std::uint64_t>(left_[i]) << (8 * i);
    }
    out = static_cast<T>(bits);
    left_ = left_.subspan(sizeof(T));
  }
  void flag(bool& out) {
    std::uint8_t value = 0;
    number(value);
    if (value > 1) broken_ = true;
    out = value == 1;
  }
  void text(std::string& out) {
    std::uint32_t size = 0;
    number(size);
    if (size > left_.size()) {
      broken_ = true;
      return;
    }
    out.assign(reinterpret_cast<const char*>(left_.data()), size);
    left_ = left_.subspan(size);
  }
  template <class Enum>
  void code(Enum& out) {
    std::uint8_t value = 0;
    number(value);
    out = static_cast<Enum>(value);
  }

  void fields(Settings& p) {
    std::uint16_t theirs = 0;
    number(theirs), text(p.argument), flag(p.paced);
    if (theirs != version) broken_ = true;
  }
  void fields(Grant& p) { number(p.until_ns); }
  void fields(Cue& p) { number(p.at_ns), text(p.text); }
  void fields(Stop&) {}
  void fields(Hello& p) {
    number(p.link_version), text(p.name), flag(p.paced), number(p.shortest_reaction_ns);
  }
  void fields(Arrived& p) {
    number(p.device), number(p.at_ns), code(p.quantity), code(p.unit);
    number(p.interval_digits), number(p.capacity_digits);
    number(p.interval_exponent), number(p.capacity_exponent), number(p.period_ns);
    text(p.vendor), text(p.product), text(p.serial), text(p.port), text(p.label);
  }
  void fields(Readings& p) {
    std::uint16_t count = 0;
    number(count);
    if (count > most_readings) broken_ = true;
    for (std::uint16_t i = 0; i < count && !broken_; ++i) {
      auto& one = p.all.emplace_back();
      number(one.device), number(one.at_ns), number(one.digits), number(one.state);
      number(one.exponent), number(one.unit), number(one.quantity);
    }
  }
  void fields(Left& p) { number(p.device), number(p.at_ns), text(p.why); }
  void fields(Log& p) { number(p.level), text(p.text); }
  void fields(Reached& p) { number(p.t_ns), number(p.next_ns); }
  void fields(Beat& p) { number(p.until_ns); }
  void fields(Listens&) {}
  void fields(Finished& p) { flag(p.again), text(p.why); }

  bool whole() const { return !broken_ && left_.empty(); }

 private:
  std::span<const std::byte> left_;
  bool broken_ = false;
};

template <std::size_t I = 0>
Result<Packet> decode_type(std::uint16_t type, Reader& reader) {
  if constexpr (I == std::variant_size_v<Packet>) {
    return trouble("unknown packet type " + std::to_string(type), "plugin link");
  } else {
    if (type != I) return decode_type<I + 1>(type, reader);
    std::variant_alternative_t<I, Packet> packet;
    reader.fields(packet);
    if (!reader.whole()) {
      return trouble("packet of type " + std::to_string(type) + " is cut or damaged", "plugin link",
                     "install maslind and maslin-plughost of the same version");
    }
    return Packet(std::move(packet));
  }
}

}  // namespace

std::vector<std::byte> encode(const Packet& packet) {
  Writer writer;
  writer.number(static_cast<std::uint16_t>(packet.index()));
  std::visit([&](const auto& body) { writer.fields(body); }, packet);
  auto bytes = writer.take();
  assert(bytes.size() <= largest_packet);
  return bytes;
}

Result<Packet> decode(std::span<const std::byte> bytes) {
  Reader reader(bytes);
  std::uint16_t type = 0;
  reader.number(type);
  return decode_type(type, reader);
}

}  // namespace maslin::proto::link
