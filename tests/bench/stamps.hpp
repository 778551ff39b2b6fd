// When which gram was sent: a file that two processes have in memory.
#pragma once

#include <fcntl.h>
#include <sys/mman.h>
#include <unistd.h>

#include <atomic>
#include <stdexcept>
#include <string>

namespace maslin::bench {

class Stamps {
 public:
  static constexpr std::size_t most = 4096;

  explicit Stamps(const std::string& file) {
    const int fd = open(file.c_str(), O_RDWR | O_CREAT, 0600);
    if (fd < 0 || ftruncate(fd, sizeof(std::atomic<long long>) * most) != 0) {
      throw std::runtime_error(file + " cannot be made");
    }
    void* memory = mmap(nullptr, sizeof(std::atomic<long long>) * most, PROT_READ | PROT_WRITE,
                        MAP_SHARED, fd, 0);
    close(fd);
    if (memory == MAP_FAILED) throw std::runtime_error(file + " cannot be shared");
    stamps_ = static_cast<std::atomic<long long>*>(memory);
  }
  ~Stamps() { munmap(stamps_, sizeof(std::atomic<long long>) * most); }
  Stamps(const Stamps&) = delete;
  Stamps& operator=(const Stamps&) = delete;
  std::atomic<long long>& operator[](std::size_t gram) { return stamps_[gram]; }

 private:
  std::atomic<long long>* stamps_;
};

}  // namespace maslin::bench
