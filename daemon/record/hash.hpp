// SHA-256 over bytes: names formula texts, pins chunks, and is what the chain of a record is made
// of.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <string_view>

namespace maslin::record {

// 64 lower-case hexadecimal digits.
std::string sha256_hex(std::string_view bytes);

// The same, fed piece by piece. finish() gives the digest of everything taken and starts afresh.
class Sha256 {
 public:
  Sha256();
  ~Sha256();
  Sha256(Sha256&&) noexcept;
  Sha256& operator=(Sha256&&) noexcept;

  void take(std::string_view bytes);
  std::string finish();

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace maslin::record
