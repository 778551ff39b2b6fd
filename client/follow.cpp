// The loop behind `maslin follow`.
#include "client/follow.hpp"

#include <unistd.h>

#include <asio/posix/stream_descriptor.hpp>
#include <asio/signal_set.hpp>
#include <asio/steady_timer.hpp>
#include <chrono>
#include <csignal>
#include <cstdio>
#include <memory>
#include <optional>
#include <thread>
#include <utility>

#include "client/commands.hpp"
#include "client/show.hpp"
#include "client/terminal.hpp"
#include "client/text.hpp"
#include "client/view.hpp"
#include "proto/json.hpp"

namespace maslin::client {
namespace {

constexpr std::chrono::milliseconds kBetweenPictures{50};
constexpr int kTries = 30;  // to connect again, a second apart

class Follower {
 public:
  Follower(Wire& wire, const FollowOptions& options)
      : wire_(wire),
        options_(options),
        keys_(wire.io()),
        signals_(wire.io(), SIGINT, SIGTERM),
        resized_(wire.io(), SIGWINCH),
        stopped_(wire.io(), SIGTSTP),
        tick_(wire.io()),
        paint_(wire.io()) {}

  int run() {
    // Both calls at once: the daemon answers in order, and no event of the new batch is missed.
    if (!options_.start.empty()) start_id_ = wire_.send("batch_start", options_.start);
    subscribe_id_ = wire_.send("subscribe", "{}");
    wire_.listen([this](const auto& message) { take(message); },
                 [this](const auto& trouble) { lose(trouble); });
    signals_.async_wait([this](const std::error_code& fault, int) {
      if (!fault) leave(kDone);
    });
    wait_for_stop();
    wire_.io().run();
    screen_.reset();
    if (lost_) return kNoDaemon;
    if (fault_) std::fputs(show(*fault_, options_.json).c_str(), stderr);
    if (view_.ended() && as_screen_) {
      std::printf("The batch is %s. Report: maslin report\n", clean(view_.state()).c_str());
    }
    return code_;
  }

  // Why the connection ended, if it did.
  const std::optional<proto::Trouble>& lost() const { return lost_; }

 private:
  void lose(const proto::Trouble& trouble) {
    lost_ = trouble;
    leave(kNoDaemon);
  }
  void leave(int code) {
    code_ = code;
    wire_.io().stop();
  }
  void leave(int code, proto::RpcFault fault) {
    fault_ = std::move(fault);
    leave(code);
  }
  void leave(int code, const proto::Trouble& trouble) {
    leave(code, proto::RpcFault{proto::RpcCode::refused, {trouble}});
  }

  // Anything the daemon says: an answer to one of our calls, or an event.
  void take(const proto::RpcMessage& message) {
    if (message.id) {
      take_answer(*message.id, message);
      return;
    }
    if (options_.json) {
      std::printf("{\"event\":\"%s\",\"params\":%s}\n", message.method.c_str(),
                  message.content.c_str());
      std::fflush(stdout);
    }
    if (message.method == "entry") {
      if (const auto entry = proto::read_entry(message.content)) take_entry(*entry);
    } else if (message.method == "progress") {
      if (const auto progress = proto::from_json<proto::Progress>(message.content)) {
        view_.take(*progress);
      }
    } else if (message.method == "whole_state") {
      take_status(message.content);
    } else if (message.method == "farewell") {
      const auto why = proto::from_json<proto::Trouble>(message.content);
      lose(why ? *why : proto::Trouble{"the daemon ended the connection", "", ""});
      return;
    }
    draw();
  }

  // A call that opens the view must succeed; a key that was refused only leaves a line on it.
  void take_answer(std::int64_t id, const proto::RpcMessage& message) {
    if (message.fault) {
      if (id == start_id_ || id == subscribe_id_) {
        leave(kRefused, *message.fault);
      } else {
        view_.say(proto::line(message.fault->troubles.front()));
        draw();
      }
      return;
    }
    if (id == start_id_) return;
    const bool first = id == subscribe_id_;
    if (first || id == asked_id_) take_status(message.content);
    if (id == asked_id_) asked_id_ = 0;
    if (first) begin();
    draw();
  }

  // The state is known: now the screen can be drawn, and whoever follows nothing is told.
  void begin() {
    if (view_.state().empty()) {
      leave(kRefused,
            proto::Trouble{"no batch runs", "", "start one: maslin start FORMULA --follow"});
      return;
    }
    as_screen_ = !options_.plain && !options_.json && is_terminal(STDOUT_FILENO) && !view_.ended();
    if (as_screen_) {
      screen_.emplace();
      read_key();
      wait_for_resize();
      ask_every_second();
    } else if (!options_.json) {
      std::printf("%s\n", clean(status_line()).c_str());
      if (!status_.may_be_called.empty()) std::printf("%s\n", clean(status_.may_be_called).c_str());
      if (!options_.start.empty()) std::fputs(show_notes(status_).c_str(), stdout);
      std::fflush(stdout);
    }
    if (view_.ended()) leave(kDone);
  }

  void take_status(const std::string& text) {
    if (const auto status = proto::from_json<proto::BatchStatus>(text)) {
      since_ms_ = status->since_ms;
      status_ = *status;
      view_.take(*status);
    }
  }

  std::string status_line() const {
    return status_.formula + ", batch " + status_.batch + ": " + view_.state();
  }

  void take_entry(const proto::Entry& entry) {
    if (const auto* input = std::get_if<proto::Input>(&entry.body)) {
      if (std::holds_alternative<proto::Start>(*input)) since_ms_ = entry.stamp.at_ms;
    }
    view_.take(entry);
    if (screen_ && sounds(entry)) screen_->bell();
    if (!as_screen_ && !options_.json) {
      if (const auto line = event_line(entry, since_ms_)) {
        std::printf("%s\n", line->c_str());
        std::fflush(stdout);
      }
    }
    // What an entry changes beside itself (aim, band, next step) comes with the state.
    if (screen_) ask();
    if (view_.ended()) leave(kDone);
  }

  // One question at a time: a slow daemon is not asked again before it has answered.
  void ask() {
    if (asked_id_ == 0) asked_id_ = wire_.send("batch_status", "{}");
  }

  // Clock, time to go and the pan's temperature change without an event.
  void ask_every_second() {
    tick_.expires_after(std::chrono::seconds(1));
    tick_.async_wait([this](const std::error_code& fault) {
      if (fault) return;
      ask();
      ask_every_second();
    });
  }

  void wait_for_resize() {
    resized_.async_wait([this](const std::error_code& fault, int) {
      if (fault) return;
      draw();
      wait_for_resize();
    });
  }

  // Stopped by its key, the program leaves the terminal as the shell wants it.
  void wait_for_stop() {
    stopped_.async_wait([this](const std::error_code& fault, int) {
      if (fault) return;
      const bool had_screen = screen_.has_value();
      screen_.reset();
      std::raise(SIGSTOP);
      if (had_screen) screen_.emplace();
      draw();
      wait_for_stop();
    });
  }

  // Waits by Asio and reads itself: Asio's own reads would leave the terminal non-blocking for the
  // shell.
  void read_key() {
    if (!is_terminal(STDIN_FILENO)) return;
    if (!keys_.is_open()) keys_.assign(dup(STDIN_FILENO));
    keys_.async_wait(
        asio::posix::stream_descriptor::wait_read, [this](const std::error_code& fault) {
          char key = 0;
          if (fault || read(STDIN_FILENO, &key, 1) != 1) return;
          switch (key) {
            case '\n':
            case '\r':
            case ' ':
              wire_.send("batch_ok", "{}");
              break;
            case 'n':
              wire_.send("batch_no", "{}");
              break;
            case 'h':
              wire_.send(view_.state() == "held" ? "batch_resume" : "batch_hold", "{}");
              break;
            case 'q':
              leave(kDone);
              return;
            default:
              break;
          }
          read_key();
        });
  }

  // Readings can come by the hundred a second in simulated time; the eye needs no more than a few
  // pictures.
  void draw() {
    if (!screen_ || painting_) return;
    painting_ = true;
    paint_.expires_at(painted_ + kBetweenPictures);
    paint_.async_wait([this](const std::error_code& fault) {
      painting_ = false;
      if (fault || !screen_) return;
      painted_ = std::chrono::steady_clock::now();
      const Size size = terminal_size();
      screen_->draw(view_.screen(size.columns, size.rows));
    });
  }

  Wire& wire_;
  const FollowOptions& options_;
  asio::posix::stream_descriptor keys_;
  asio::signal_set signals_;
  asio::signal_set resized_;
  asio::signal_set stopped_;
  asio::steady_timer tick_;
  asio::steady_timer paint_;
  std::chrono::steady_clock::time_point painted_{};
  bool painting_ = false;

  View view_;
  std::optional<FullScreen> screen_;
  bool as_screen_ = false;
  std::int64_t start_id_ = 0;
  std::int64_t subscribe_id_ = 0;
  std::int64_t asked_id_ = 0;
  std::int64_t since_ms_ = 0;
  proto::BatchStatus status_;
  int code_ = kDone;
  std::optional<proto::RpcFault> fault_;
  std::optional<proto::Trouble> lost_;
};

// The cook's hands are full: nobody starts `follow` again. Null where no daemon came in time.
std::unique_ptr<Wire> connect_again(const Wire& wire) {
  for (int tries = 0; tries < kTries; ++tries) {
    if (auto next = wire.again()) return std::move(*next);
    std::this_thread::sleep_for(std::chrono::seconds(1));
  }
  return nullptr;
}

}  // namespace

int follow(Wire& first, const FollowOptions& options) {
  std::unique_ptr<Wire> later;
  FollowOptions now = options;
  for (;;) {
    Wire& wire = later ? *later : first;
    std::optional<Follower> follower(std::in_place, wire, now);
    const int code = follower->run();
    const auto lost = follower->lost();
    if (!lost) return code;
    follower.reset();  // and its hold on the signals: from here on they end the program again
    std::fputs(show(proto::RpcFault{proto::RpcCode::refused, {*lost}}, now.json).c_str(), stderr);
    std::fputs("Connecting again for half a minute.\n", stderr);
    auto next = connect_again(wire);
    if (!next) return kNoDaemon;
    now.start.clear();  // it runs already, or was refused
    later = std::move(next);
  }
}

}  // namespace maslin::client
