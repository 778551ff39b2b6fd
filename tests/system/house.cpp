// Processes, sockets and files for the tests with a running daemon.
#include "tests/system/house.hpp"

#include <fcntl.h>
#include <poll.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <cstdlib>
#include <cstring>
#include <fstream>
#include <iterator>
#include <stdexcept>
#include <thread>

namespace maslin::house {
namespace {

using Clock = std::chrono::steady_clock;

int milliseconds_until(Clock::time_point end) {
  const auto left = std::chrono::ceil<std::chrono::milliseconds>(end - Clock::now());
  return static_cast<int>(std::max<std::int64_t>(0, left.count()));
}

}  // namespace

std::string bin(const std::string& program) { return MASLIN_BIN_DIR "/" + program; }

std::string read_file(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  return std::string(std::istreambuf_iterator<char>(in), {});
}

void write_file(const fs::path& file, std::string_view text) {
  std::ofstream(file, std::ios::binary) << text;
}

std::string shipped_formula(const std::string& name) {
  return read_file(MASLIN_SOURCE_DIR "/daemon/formula/shipped/" + name + ".toml");
}

bool until(const std::function<bool()>& holds, std::chrono::milliseconds longest) {
  const auto end = Clock::now() + longest;
  while (!holds()) {
    if (Clock::now() > end) return false;
    std::this_thread::sleep_for(std::chrono::milliseconds(5));
  }
  return true;
}

// ---- processes --------------------------------------------------------------------------------

Process::Process(const std::vector<std::string>& words, const fs::path& out, const fs::path& err,
                 const Environment& more) {
  std::vector<char*> argv;
  argv.reserve(words.size() + 1);
  for (const auto& word : words) argv.push_back(const_cast<char*>(word.c_str()));
  argv.push_back(nullptr);
  pid_ = fork();
  if (pid_ < 0) throw std::runtime_error(std::strerror(errno));
  if (pid_ > 0) return;
  const int nothing = open("/dev/null", O_RDONLY);
  const int to_out = open(out.c_str(), O_WRONLY | O_CREAT | O_APPEND, 0600);
  const int to_err = open(err.c_str(), O_WRONLY | O_CREAT | O_APPEND, 0600);
  dup2(nothing, STDIN_FILENO);
  dup2(to_out, STDOUT_FILENO);
  dup2(to_err, STDERR_FILENO);
  for (const auto& [key, value] : more) setenv(key.c_str(), value.c_str(), 1);
  execvp(argv[0], argv.data());
  _exit(127);
}

Process::~Process() {
  if (!runs()) return;
  ::kill(pid_, SIGKILL);
  wait();
}

void Process::signal(int number) const {
  if (!ended_) ::kill(pid_, number);
}

bool Process::runs() { return !wait(std::chrono::milliseconds(0)); }

std::optional<int> Process::wait(std::chrono::milliseconds longest) {
  const auto end = Clock::now() + longest;
  while (!ended_) {
    int status = 0;
    if (waitpid(pid_, &status, WNOHANG) == pid_) {
      ended_ = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
      break;
    }
    if (Clock::now() >= end) break;
    std::this_thread::sleep_for(std::chrono::milliseconds(2));
  }
  return ended_;
}

Ran run(const std::vector<std::string>& words, const Environment& more) {
  const Directory here;
  Process process(words, here / "out", here / "err", more);
  Ran ran;
  ran.code = process.wait().value_or(-1);
  ran.out = read_file(here / "out");
  ran.err = read_file(here / "err");
  return ran;
}

// ---- the socket -------------------------------------------------------------------------------

Client::Client(const fs::path& socket) {
  sockaddr_un address{};
  address.sun_family = AF_UNIX;
  socket.string().copy(address.sun_path, sizeof(address.sun_path) - 1);
  fd_ = ::socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
  if (connect(fd_, reinterpret_cast<const sockaddr*>(&address), sizeof(address)) == 0) return;
  ::close(fd_);
  fd_ = -1;
}

Client::~Client() {
  if (fd_ >= 0) ::close(fd_);
}

bool Client::send(std::string_view bytes) {
  while (!bytes.empty()) {
    const auto sent = ::send(fd_, bytes.data(), bytes.size(), MSG_NOSIGNAL);
    if (sent < 0) return false;
    bytes.remove_prefix(static_cast<std::size_t>(sent));
  }
  return true;
}

void Client::close_sending() { shutdown(fd_, SHUT_WR); }

std::optional<std::string> Client::line(std::chrono::milliseconds longest) {
  const auto end = Clock::now() + longest;
  for (std::size_t looked = 0;;) {
    const auto found = buffer_.find('\n', looked);
    if (found != std::string::npos) {
      std::string line = buffer_.substr(0, found);
      buffer_.erase(0, found + 1);
      return line;
    }
    looked = buffer_.size();
    pollfd waits{fd_, POLLIN, 0};
    if (poll(&waits, 1, milliseconds_until(end)) <= 0) return std::nullopt;
    char chunk[65536];
    const auto size = recv(fd_, chunk, sizeof(chunk), 0);
    if (size <= 0) return std::nullopt;
    buffer_.append(chunk, static_cast<std::size_t>(size));
  }
}

std::optional<Json> Client::message(std::chrono::milliseconds longest) {
  const auto text = line(longest);
  if (!text) return std::nullopt;
  return Json::parse(*text);
}

bool Client::closed(std::chrono::milliseconds longest) {
  const auto end = Clock::now() + longest;
  for (;;) {
    pollfd waits{fd_, POLLIN, 0};
    if (poll(&waits, 1, milliseconds_until(end)) <= 0) return false;
    char chunk[65536];
    const auto size = recv(fd_, chunk, sizeof(chunk), 0);
    if (size <= 0) return true;
    buffer_.append(chunk, static_cast<std::size_t>(size));
  }
}

void Client::hello() {
  const Json answer = call("hello", {{"program", "test"}, {"version", "1"}, {"wire", 1}});
  if (!answer.contains("result")) throw std::runtime_error("hello refused: " + answer.dump());
}

Json Client::call(const std::string& method, const Json& params) {
  const Json call = {
      {"jsonrpc", "2.0"}, {"id", ++last_id_}, {"method", method}, {"params", params}};
  send(call.dump() + "\n");
  for (;;) {
    auto text = line();
    if (!text) throw std::runtime_error("no answer to " + method);
    Json answer = Json::parse(*text);
    if (answer.contains("id") && answer["id"] == last_id_) return answer;
    events_.push_back(std::move(*text));
  }
}

std::optional<std::string> Client::event(std::chrono::milliseconds longest) {
  if (events_.empty()) return line(longest);
  std::string first = std::move(events_.front());
  events_.pop_front();
  return first;
}

// ---- the daemon -------------------------------------------------------------------------------

Daemon::Daemon(const fs::path& state, const fs::path& socket, DaemonOptions options)
    : socket_(socket), err_(socket.string() + ".log") {
  const fs::path settings = socket.string() + ".settings";
  write_file(settings, R"({"altitude_m": 12})");
  std::vector<std::string> words = std::move(options.before);
  for (const auto& word : {bin("maslind"), std::string("--state"), state.string(),
                           std::string("--socket"), socket.string(), std::string("--settings"),
                           settings.string(), std::string("--pace"), options.pace}) {
    words.push_back(word);
  }
  if (options.plugins.empty()) {
    options.plugins = {"kitchen=" MASLIN_SOURCE_DIR "/plugins/kitchen/quayside-relish.toml"};
  }
  for (const auto& plugin : options.plugins) {
    words.push_back("--plugin");
    words.push_back(plugin);
  }
  process_ = std::make_unique<Process>(words, err_, err_, options.environment);
}

bool Daemon::up() {
  return until([&] { return !process_->runs() || Client(socket_).connected(); }) &&
         process_->runs();
}

bool Daemon::ready() {
  if (!up()) return false;
  Client client(socket_);
  client.hello();
  return until([&] {
    const Json answer = client.call("devices");
    for (const auto& device : answer["result"]["devices"]) {
      if (device["role"] == "bench" && device["condition"] == "live") return true;
    }
    return false;
  });
}

std::optional<int> Daemon::stop() {
  process_->signal(SIGTERM);
  return process_->wait();
}

void Daemon::kill() {
  process_->signal(SIGKILL);
  process_->wait();
}

// ---- a batch ----------------------------------------------------------------------------------

Json start_relish(Client& client) {
  return client.call("batch_start", {{"text", shipped_formula("quayside-onion-relish")},
                                     {"file", "quayside-onion-relish.toml"}});
}

bool is_urgent(const Json& entry) {
  return entry["type"] == "cue" && entry["body"]["urgency"].get<int>() >= 4;
}

std::optional<std::string> entry_of(const std::string& line) {
  constexpr std::string_view before = R"({"jsonrpc":"2.0","method":"entry","params":)";
  if (!line.starts_with(before)) return std::nullopt;
  return line.substr(before.size(), line.size() - before.size() - 1);
}

Evening follow(Client& client) {
  Evening evening;
  while (!evening.ended) {
    const auto line = client.event();
    if (!line) break;
    const auto text = entry_of(*line);
    if (!text) continue;
    const Json entry = Json::parse(*text);
    if (!is_urgent(entry)) evening.settled.push_back(*text);
    // The last thing said of a batch.
    if (entry["type"] != "cue") continue;
    const std::string id = entry["body"]["id"];
    evening.ended = id == "complete" || id == "stopped";
  }
  return evening;
}

std::int64_t resident_kb(pid_t pid) {
  std::ifstream status("/proc/" + std::to_string(pid) + "/status");
  std::string word;
  while (status >> word) {
    if (word != "VmRSS:") continue;
    std::int64_t kb = 0;
    status >> kb;
    return kb;
  }
  return 0;
}

}  // namespace maslin::house
