// SHA-256 by OpenSSL; the only file that knows whose implementation it is.
#include "daemon/record/hash.hpp"

#include <openssl/evp.h>

#include <array>
#include <cassert>

namespace maslin::record {

struct Sha256::State {
  EVP_MD_CTX* context = EVP_MD_CTX_new();

  State() { restart(); }
  State(const State&) = delete;
  State& operator=(const State&) = delete;
  ~State() { EVP_MD_CTX_free(context); }

  void restart() {
    [[maybe_unused]] const int done = EVP_DigestInit_ex(context, EVP_sha256(), nullptr);
    assert(done == 1);
  }
};

Sha256::Sha256() : state_(std::make_unique<State>()) {}
Sha256::~Sha256() = default;
Sha256::Sha256(Sha256&&) noexcept = default;
Sha256& Sha256::operator=(Sha256&&) noexcept = default;

void Sha256::take(std::string_view bytes) {
  EVP_DigestUpdate(state_->context, bytes.data(), bytes.size());
}

std::string Sha256::finish() {
  std::array<unsigned char, EVP_MAX_MD_SIZE> digest{};
  unsigned int size = 0;
  EVP_DigestFinal_ex(state_->context, digest.data(), &size);
  state_->restart();
  static constexpr std::string_view kHex = "0123456789abcdef";
  std::string text;
  text.reserve(2 * std::size_t{size});
  for (unsigned int i = 0; i < size; ++i) {
    text += kHex[digest[i] >> 4U];
    text += kHex[digest[i] & 15U];
  }
  return text;
}

std::string sha256_hex(std::string_view bytes) {
  Sha256 hash;
  hash.take(bytes);
  return hash.finish();
}

}  // namespace maslin::record
