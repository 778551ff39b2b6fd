// The vocabulary of the tests with a running daemon: a state directory, the daemon as a process,
// programs run to their end, and a connection to the socket that sends and reads raw lines.
#pragma once

#include <sys/types.h>

#include <chrono>
#include <deque>
#include <filesystem>
#include <functional>
#include <map>
#include <memory>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "tests/scratch.hpp"

namespace maslin::house {

using Json = nlohmann::json;
namespace fs = std::filesystem;

// Generous: a machine under load is slow, and nothing here measures time.
inline constexpr std::chrono::seconds patience{60};

std::string bin(const std::string& program);  // path of a program of this build
std::string read_file(const fs::path& file);
void write_file(const fs::path& file, std::string_view text);
std::string shipped_formula(const std::string& name);  // its text
bool until(const std::function<bool()>& holds, std::chrono::milliseconds longest = patience);

class Directory : public test::Scratch {
 public:
  Directory() {}  // clang: a const object of a class that writes none is not initialised
  fs::path operator/(const std::string& name) const { return path() / name; }
};

using Environment = std::map<std::string, std::string>;

// A child process with its standard output and error in files.
class Process {
 public:
  Process(const std::vector<std::string>& words, const fs::path& out, const fs::path& err,
          const Environment& more = {});
  ~Process();  // kills and reaps
  Process(const Process&) = delete;
  Process& operator=(const Process&) = delete;
  void signal(int number) const;
  // Exit code, or 128 + signal; nothing where it did not end in time.
  std::optional<int> wait(std::chrono::milliseconds longest = patience);
  bool runs();
  pid_t pid() const { return pid_; }

 private:
  pid_t pid_ = -1;
  std::optional<int> ended_;
};

struct Ran {
  int code = -1;
  std::string out;
  std::string err;
};
Ran run(const std::vector<std::string>& words, const Environment& more = {});

// A connection to the daemon's socket.
class Client {
 public:
  explicit Client(const fs::path& socket);  // connected() false where that failed
  ~Client();
  Client(const Client&) = delete;
  Client& operator=(const Client&) = delete;

  bool connected() const { return fd_ >= 0; }
  int fd() const { return fd_; }
  // False where the daemon takes no more.
  bool send(std::string_view bytes);
  void close_sending();
  // The next line without its newline; nothing at the end of the connection or after `longest`.
  std::optional<std::string> line(std::chrono::milliseconds longest = patience);
  std::optional<Json> message(std::chrono::milliseconds longest = patience);
  // True once the daemon has closed; reads and drops what comes before.
  bool closed(std::chrono::milliseconds longest = patience);

  // Says hello; the connection is ready for calls.
  void hello();
  // The whole answer to a call. Events that come before it wait for event().
  Json call(const std::string& method, const Json& params = Json::object());
  // The line of the next event, in the order received.
  std::optional<std::string> event(std::chrono::milliseconds longest = patience);

 private:
  int fd_ = -1;
  std::int64_t last_id_ = 0;
  std::string buffer_;
  std::deque<std::string> events_;
};

// The daemon with the simulated kitchen of the demonstration, unless told otherwise.
struct DaemonOptions {
  std::string pace = "max";
  std::vector<std::string> plugins = {};  // none: the kitchen's evening
  std::vector<std::string> before = {};   // words before the program: taskset ...
  Environment environment = {};
};

class Daemon {
 public:
  Daemon(const fs::path& state, const fs::path& socket, DaemonOptions options = {});
  // Until the socket answers; false where the daemon ended or does not.
  bool up();
  // Until the simulated devices are there too.
  bool ready();
  std::string log() const { return read_file(err_); }
  Process& process() { return *process_; }
  const fs::path& socket() const { return socket_; }
  // TERM, and its exit code.
  std::optional<int> stop();
  void kill();  // KILL, reaped

 private:
  fs::path socket_;
  fs::path err_;
  std::unique_ptr<Process> process_;
};

// Starts the onion relish; the answer.
Json start_relish(Client& client);
// The text of an entry exactly as it was sent; nothing where the line is another event.
std::optional<std::string> entry_of(const std::string& line);
// Waits on a subscribed client for the end of the batch. `settled` are the texts of the entries as
// they came, in order, less those that may be published before they are on disk; `ended` tells
// whether the end was seen.
struct Evening {
  std::vector<std::string> settled;
  bool ended = false;
};
Evening follow(Client& client);

bool is_urgent(const Json& entry);  // published before it is on disk
std::int64_t resident_kb(pid_t pid);

}  // namespace maslin::house
