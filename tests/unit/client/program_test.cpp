// The program `maslin` itself, against a daemon that only plays one: exit codes, what goes over the
// wire, what is printed.
#include <gmock/gmock.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdio>
#include <filesystem>
#include <fstream>
#include <functional>
#include <map>
#include <mutex>
#include <thread>
#include <utility>

#include "client/text.hpp"
#include "proto/json.hpp"
#include "proto/methods.hpp"
#include "proto/report.hpp"
#include "proto/rpc.hpp"
#include "tests/scratch.hpp"

namespace maslin::client {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;

// Answers each method with what the test has laid out; one connection after the other.
class PlayedDaemon {
 public:
  // Lines to send back for a call: answer, events, anything. Nothing: the connection is closed.
  using Play = std::function<std::string(const proto::RpcCall&)>;

  explicit PlayedDaemon(const fs::path& socket) : listener_(::socket(AF_UNIX, SOCK_STREAM, 0)) {
    sockaddr_un address{};
    address.sun_family = AF_UNIX;
    socket.string().copy(address.sun_path, sizeof address.sun_path - 1);
    ::bind(listener_, reinterpret_cast<const sockaddr*>(&address), sizeof address);
    ::listen(listener_, 4);
    on("hello", [](const auto& call) {
      return proto::write_result(call.id,
                                 proto::to_json(proto::Hello{"maslind", "0", proto::wire_version}));
    });
    thread_ = std::thread([this] { serve(); });
  }
  ~PlayedDaemon() {
    ::shutdown(listener_, SHUT_RDWR);
    thread_.join();
    ::close(listener_);
  }
  PlayedDaemon(const PlayedDaemon&) = delete;
  PlayedDaemon& operator=(const PlayedDaemon&) = delete;

  void on(const std::string& method, Play play) {
    const std::lock_guard lock(mutex_);
    plays_[method] = std::move(play);
  }
  void answer(const std::string& method, const std::string& result) {
    on(method, [result](const auto& call) { return proto::write_result(call.id, result); });
  }
  std::string params_of(const std::string& method) {
    const std::lock_guard lock(mutex_);
    return params_[method];
  }

 private:
  void serve() {
    for (;;) {
      const int client = ::accept(listener_, nullptr, nullptr);
      if (client < 0) return;
      std::string buffer;
      char bytes[4096];
      for (ssize_t got = 0; (got = ::read(client, bytes, sizeof bytes)) > 0;) {
        buffer.append(bytes, static_cast<std::size_t>(got));
        bool open = true;
        for (std::size_t end; open && (end = buffer.find('\n')) != std::string::npos;) {
          open = reply(client, buffer.substr(0, end));
          buffer.erase(0, end + 1);
        }
        if (!open) break;
      }
      ::close(client);
    }
  }
  bool reply(int client, const std::string& line) {
    const auto call = proto::read_call(line);
    if (!call) return false;
    const std::lock_guard lock(mutex_);
    params_[call->method] = call->params;
    const auto play = plays_.find(call->method);
    if (play == plays_.end()) return false;
    const std::string text = play->second(*call);
    if (text.empty()) return false;
    const bool sent =
        ::send(client, text.data(), text.size(), MSG_NOSIGNAL) == static_cast<ssize_t>(text.size());
    // As the daemon does: after a farewell it closes.
    return sent && text.find("\"farewell\"") == std::string::npos;
  }

  int listener_;
  std::mutex mutex_;
  std::map<std::string, Play> plays_;
  std::map<std::string, std::string> params_;
  std::thread thread_;
};

struct Outcome {
  int code = -1;
  std::string out;
  std::string err;
};

class Program : public testing::Test {
 protected:
  fs::path socket() const { return directory / "socket"; }
  // Arguments as a shell takes them.
  Outcome maslin(const std::string& arguments) {
    const std::string command =
        std::string(MASLIN_BIN_DIR) + "/maslin --socket " + socket().string() + " " + arguments +
        " >" + (directory / "out").string() + " 2>" + (directory / "err").string() + " </dev/null";
    const int status = std::system(command.c_str());
    return {WIFEXITED(status) ? WEXITSTATUS(status) : -1, read("out"), read("err")};
  }
  std::string read(const char* name) const {
    std::ifstream in(directory / name);
    return {std::istreambuf_iterator<char>(in), {}};
  }
  std::string formula() {
    std::ofstream(directory / "relish.toml") << "name = \"Lantern relish\"\n";
    return (directory / "relish.toml").string();
  }

  const test::Scratch scratch;
  const fs::path& directory = scratch.path();
};

TEST_F(Program, SaysThatThereIsNoDaemonAndWhatStartsOne) {
  const auto outcome = maslin("status");
  EXPECT_EQ(outcome.code, 3);
  EXPECT_THAT(outcome.err, HasSubstr("no daemon answers there"));
  EXPECT_THAT(outcome.err, HasSubstr("maslind --socket " + socket().string()));
}

TEST_F(Program, SaysThatTheDaemonSpeaksAnotherVersion) {
  PlayedDaemon daemon(socket());
  daemon.answer("hello", proto::to_json(proto::Hello{"maslind", "9.9", 99}));
  const auto outcome = maslin("status");
  EXPECT_EQ(outcome.code, 3);
  EXPECT_THAT(outcome.err, HasSubstr("9.9"));
}

TEST_F(Program, ReturnsTwoForWrongUsage) {
  for (const char* arguments :
       {"", "nonsense", "plan", "accept", "plan x --factor nan", "plan x --factor 1 --jars 2",
        "settings --altitude high", "settings --altitude 640", "status --nonsense", "note"}) {
    EXPECT_EQ(maslin(arguments).code, 2) << arguments;
  }
  EXPECT_EQ(maslin("--help").code, 0);
  EXPECT_THAT(maslin("reprot").err, HasSubstr("did you mean maslin report?"));
}

TEST_F(Program, PrintsEveryReasonOfARefusal) {
  PlayedDaemon daemon(socket());
  daemon.on("plan_make", [](const auto& call) {
    return proto::write_fault(call.id,
                              {proto::RpcCode::refused,
                               {{"unknown key 'amout'", "relish.toml:3:1", "write 'amount'"},
                                {"no step weighs the onion", "relish.toml:9:1", ""}}});
  });
  const auto outcome = maslin("plan " + formula());
  EXPECT_EQ(outcome.code, 1);
  EXPECT_EQ(outcome.out, "");
  EXPECT_EQ(outcome.err,
            "relish.toml:3:1: unknown key 'amout'; write 'amount'\n"
            "relish.toml:9:1: no step weighs the onion\n");
}

TEST_F(Program, PrintsARefusalAsAnErrorObjectWithJson) {
  PlayedDaemon daemon(socket());
  daemon.on("batch_ok", [](const auto& call) {
    return proto::write_fault(call.id,
                              {proto::RpcCode::refused, {{"the time is not up", "", "wait"}}});
  });
  const auto refused = maslin("ok --json");
  EXPECT_EQ(refused.code, 1);
  EXPECT_EQ(refused.out, "");
  EXPECT_EQ(refused.err,
            R"({"code":-32000,"data":[{"todo":"wait","what":"the time is not up","where":""}],)"
            R"("message":"the time is not up; wait"})"
            "\n");
  // What this program finds itself has the same shape.
  EXPECT_THAT(maslin("plan nothing-of-that-name --json").err,
              testing::StartsWith(R"({"code":-32000,"data":[{)"));
  daemon.answer("subscribe", proto::to_json(proto::BatchStatus{}));
  EXPECT_THAT(maslin("follow --json").err, HasSubstr(R"("message":"no batch runs; start one)"));
}

TEST_F(Program, SaysThatThereIsNoDaemonAsAnErrorObjectWithJson) {
  const auto outcome = maslin("status --json");
  EXPECT_EQ(outcome.code, 3);
  EXPECT_THAT(outcome.err, testing::StartsWith(R"({"code":-32000,)"));
}

TEST_F(Program, SendsThePlanRequestWithTheTextOfTheFormula) {
  PlayedDaemon daemon(socket());
  daemon.answer("plan_make", proto::to_json(proto::Plan{}));
  const auto outcome = maslin("plan " + formula() + " --have 'onion=640 g' --have 'sugar=1 cup'");
  EXPECT_EQ(outcome.code, 0) << outcome.err;
  const auto request = proto::from_json<proto::PlanRequest>(daemon.params_of("plan_make"));
  ASSERT_TRUE(request.has_value());
  EXPECT_EQ(request->text, "name = \"Lantern relish\"\n");
  EXPECT_THAT(request->have, testing::ElementsAre("onion=640 g", "sugar=1 cup"));
  EXPECT_EQ(request->factor, std::nullopt);
}

TEST_F(Program, SaysThatAFormulaIsNotThereBeforeItLooksForTheDaemon) {
  for (const char* command : {"check", "plan", "start"}) {
    const auto outcome = maslin(std::string(command) + " not/there.toml");
    EXPECT_EQ(outcome.code, 1);
    EXPECT_THAT(outcome.err, HasSubstr("there is no such file or formula"));
  }
}

TEST_F(Program, SaysThatWhatItShallTalkToIsNoSocket) {
  std::ofstream(socket()) << "words\n";
  const auto outcome = maslin("status");
  EXPECT_EQ(outcome.code, 3);
  EXPECT_THAT(outcome.err, HasSubstr("is no socket"));
  EXPECT_THAT(outcome.err, testing::Not(HasSubstr("start it")));
}

TEST_F(Program, FailsWhereTheAnswerCannotBeWritten) {
  PlayedDaemon daemon(socket());
  daemon.answer("batch_report", proto::to_json(proto::Report{}));
  const int status = std::system((std::string(MASLIN_BIN_DIR) + "/maslin --socket " +
                                  socket().string() + " report >/dev/full 2>/dev/null")
                                     .c_str());
  EXPECT_EQ(WEXITSTATUS(status), 1);
}

TEST_F(Program, KnowsAFormulaByBothItsNamesAndRefusesOneThatNobodyKnows) {
  PlayedDaemon daemon(socket());
  daemon.answer("batch_list", proto::to_json(proto::BatchList{{{"b", "Lantern relish", "", ""}}}));
  daemon.answer("formula_check", proto::to_json(proto::FormulaChecked{"Lantern relish", true, {}}));
  daemon.answer("review", proto::to_json(proto::Review{}));
  for (const std::string& name : {std::string("'Lantern relish'"), formula()}) {
    EXPECT_EQ(maslin("review " + name).code, 0);
    EXPECT_EQ(daemon.params_of("review"), R"({"formula":"Lantern relish"})");
  }
  const auto unknown = maslin("review 'Lighthouse jam'");
  EXPECT_EQ(unknown.code, 1);
  EXPECT_THAT(unknown.err, HasSubstr("no batch and no formula has this name"));
}

TEST_F(Program, ShowsWhatTheBatchesOfAFormulaDo) {
  PlayedDaemon daemon(socket());
  proto::ReviewChart sugar;
  sugar.figure = "sugar";
  sugar.count = 9;
  sugar.lower = -1.2;
  sugar.upper = 1.4;
  sugar.nine_of_ten_upper = 1.1;
  sugar.outside = {{"b7", 3.1}};
  sugar.lines = {"b7: sugar 3.1 % over its aim."};
  proto::Review review;
  review.formula = "Lantern relish";
  review.batches = 9;
  review.rows.resize(1);
  review.charts = {sugar};
  daemon.answer("batch_list", proto::to_json(proto::BatchList{{{"b", "Lantern relish", "", ""}}}));
  daemon.answer("review", proto::to_json(review));
  const auto outcome = maslin("review 'Lantern relish'");
  EXPECT_EQ(outcome.code, 0) << outcome.err;
  EXPECT_THAT(outcome.out, HasSubstr("-1.2 to 1.4"));
  EXPECT_THAT(outcome.out, HasSubstr("What stands out:\n  b7: sugar 3.1 % over its aim."));
  EXPECT_THAT(proto::to_json(review), HasSubstr(R"("step_mean":null)"));
}

TEST_F(Program, PrintsTheRawResultWithJsonWhereverTheOptionStands) {
  PlayedDaemon daemon(socket());
  daemon.answer("batch_status", R"({"batch":"b","later_field":1,"state":"running"})");
  EXPECT_EQ(maslin("status --json").out, R"({"batch":"b","later_field":1,"state":"running"})"
                                         "\n");
  EXPECT_EQ(maslin("--json status").out, maslin("status --json").out);
}

TEST_F(Program, BreaksTheLinesOfAFigureWhereAWidthIsWantedAndOnlyThere) {
  const auto longest = [](const std::string& text) {
    std::size_t most = 0;
    for (std::size_t at = 0; at < text.size();) {
      const std::size_t end = text.find('\n', at);
      most = std::max(most, width(text.substr(at, end - at)));
      at = end + 1;
    }
    return most;
  };
  const auto asked = maslin("figure boiling --altitude '640 m'").out;
  EXPECT_GT(longest(asked), 60U);
  setenv("COLUMNS", "40", 1);
  const auto narrow = maslin("figure boiling --altitude '640 m'").out;
  const auto json = maslin("figure boiling --altitude '640 m' --json").out;
  unsetenv("COLUMNS");
  EXPECT_LE(longest(narrow), 40U);
  EXPECT_EQ(std::count(json.begin(), json.end(), '\n'), 1);
}

TEST_F(Program, SendsOnlyTheSettingsThatWereGiven) {
  PlayedDaemon daemon(socket());
  daemon.answer("settings_set", proto::to_json(proto::Settings{}));
  EXPECT_EQ(maslin("settings --altitude '1000 ft'").code, 0);
  EXPECT_EQ(daemon.params_of("settings_set"), R"({"altitude_m":304.8})");
  EXPECT_EQ(maslin("settings --altitude '-12.5 m' --reaction 0.3").code, 0);
  EXPECT_THAT(daemon.params_of("settings_set"), HasSubstr("-12.5"));
  EXPECT_THAT(daemon.params_of("settings_set"), HasSubstr("\"reaction_s\":0.3"));
  EXPECT_EQ(maslin("settings --spread '3 %'").code, 0);
  EXPECT_EQ(daemon.params_of("settings_set"), R"({"usual_spread":0.03})");
  EXPECT_EQ(maslin("settings --spread 0.03").code, 0);
  EXPECT_EQ(daemon.params_of("settings_set"), R"({"usual_spread":0.03})");
}

TEST_F(Program, AsksForTheUnitsThatComeFirst) {
  PlayedDaemon daemon(socket());
  daemon.answer("settings_set", proto::to_json(proto::Settings{}));
  EXPECT_EQ(maslin("settings --units grams").code, 0);
  EXPECT_EQ(daemon.params_of("settings_set"), R"({"units":"grams"})");
  EXPECT_EQ(maslin("settings --units stones").code, 2);
  daemon.answer("plan_make", proto::to_json(proto::Plan{}));
  EXPECT_EQ(maslin("plan quayside-onion-relish --units kitchen").code, 0);
  EXPECT_THAT(daemon.params_of("plan_make"), HasSubstr(R"("units":"kitchen")"));
}

TEST_F(Program, TakesQuietAndItsHoursAsTheClockSaysThem) {
  PlayedDaemon daemon(socket());
  daemon.answer("settings_set", proto::to_json(proto::Settings{}));
  EXPECT_EQ(maslin("settings --quiet on").code, 0);
  EXPECT_EQ(daemon.params_of("settings_set"), R"({"quiet":true})");
  EXPECT_EQ(maslin("settings --quiet-hours '22:00 to 07:30'").code, 0);
  EXPECT_EQ(daemon.params_of("settings_set"), R"({"quiet_from_min":1320,"quiet_to_min":450})");
  EXPECT_EQ(maslin("settings --quiet-hours none").code, 0);
  EXPECT_EQ(daemon.params_of("settings_set"), R"({"quiet_from_min":0,"quiet_to_min":0})");
  EXPECT_EQ(maslin("settings --quiet-hours 22-7").code, 2);
  EXPECT_EQ(maslin("settings --quiet perhaps").code, 2);
}

TEST_F(Program, GivesTheWordsOfTheCookOn) {
  PlayedDaemon daemon(socket());
  daemon.answer("batch_accept", proto::to_json(proto::BatchStatus{}));
  EXPECT_EQ(maslin("accept --reason 'sweet tooth'").code, 0);
  const auto word = proto::from_json<proto::BatchWord>(daemon.params_of("batch_accept"));
  EXPECT_EQ(word->text, "sweet tooth");
  daemon.answer("batch_eaten", proto::to_json(proto::BatchStatus{}));
  EXPECT_EQ(maslin("eaten '30 g'").code, 0);
  EXPECT_EQ(proto::from_json<proto::BatchWord>(daemon.params_of("batch_eaten"))->text, "30 g");
}

TEST_F(Program, EndsWithTheExitCodeOfVerify) {
  PlayedDaemon daemon(socket());
  for (const int code : {0, 1, 5, 6}) {
    daemon.answer("batch_verify", proto::to_json(proto::Verified{"b", "answer", "", code, 1, 2}));
    EXPECT_EQ(maslin("verify").code, code);
  }
}

TEST_F(Program, ReadsLongTextsPageByPageAndTrustsNoLine) {
  PlayedDaemon daemon(socket());
  daemon.on("batch_log", [](const proto::RpcCall& call) {
    const auto request = proto::from_json<proto::LinesRequest>(call.params);
    return proto::write_result(
        call.id,
        proto::to_json(request->from_line == 0 ? proto::Lines{"b", {"one", "tw\x1b[31mo"}, 2}
                                               : proto::Lines{"b", {"three"}, -1}));
  });
  EXPECT_EQ(maslin("log").out, "one\ntw?[31mo\nthree\n");
  const auto all = proto::from_json<proto::Lines>(maslin("log --json").out);
  ASSERT_TRUE(all.has_value());
  EXPECT_EQ(all->lines.size(), 3U);
}

TEST_F(Program, SaysThatTheDaemonWentAwayInTheMiddle) {
  PlayedDaemon daemon(socket());
  daemon.on("batch_report", [](const auto&) { return std::string(); });
  const auto outcome = maslin("report");
  EXPECT_EQ(outcome.code, 1);
  EXPECT_THAT(outcome.err, HasSubstr("closed the connection"));
}

std::string entry_event(proto::Outcome outcome, std::int64_t at_ms) {
  proto::Entry entry;
  entry.stamp.at_ms = at_ms;
  entry.body = std::move(outcome);
  return proto::write_event("entry", proto::entry_text(entry));
}

TEST_F(Program, FollowsABatchAsLinesUntilItEnds) {
  PlayedDaemon daemon(socket());
  daemon.on("subscribe", [](const auto& call) {
    proto::BatchStatus status;
    status.batch = "2026-11-25-1";
    status.formula = "Lantern relish";
    status.state = "running";
    return proto::write_result(call.id, proto::to_json(status)) +
           entry_event(proto::Cue{"more", 2, "22 g more sugar.", "sugar", 0}, 12'000) +
           proto::write_event("later_event", "{}") +
           entry_event(proto::BatchState{"complete", ""}, 60'000);
  });
  const auto outcome = maslin("follow");
  EXPECT_EQ(outcome.code, 0) << outcome.err;
  EXPECT_EQ(outcome.out,
            "Lantern relish, batch 2026-11-25-1: running\n"
            "0:00:12  22 g more sugar.\n"
            "0:01:00  batch complete\n");
}

TEST_F(Program, StartsAndFollowsWithoutMissingAnEvent) {
  PlayedDaemon daemon(socket());
  daemon.answer("batch_start", proto::to_json(proto::BatchStatus{}));
  daemon.on("subscribe", [](const auto& call) {
    proto::BatchStatus status;
    status.state = "complete";
    return proto::write_result(call.id, proto::to_json(status));
  });
  EXPECT_EQ(maslin("start " + formula() + " --follow").code, 0);
  EXPECT_THAT(daemon.params_of("batch_start"), HasSubstr("Lantern relish"));
  daemon.on("batch_start", [](const auto& call) {
    return proto::write_fault(call.id,
                              {proto::RpcCode::refused, {{"batch b is running", "", "finish it"}}});
  });
  const auto refused = maslin("start " + formula() + " --follow");
  EXPECT_EQ(refused.code, 1);
  EXPECT_THAT(refused.err, HasSubstr("batch b is running"));
}

TEST_F(Program, SaysWhyTheDaemonEndedTheConnectionAndFollowsTheNextOne) {
  PlayedDaemon daemon(socket());
  daemon.on("subscribe", [first = true](const auto& call) mutable {
    proto::BatchStatus status;
    status.state = first ? "running" : "complete";
    std::string text = proto::write_result(call.id, proto::to_json(status));
    if (std::exchange(first, false)) {
      text +=
          proto::write_event("farewell", proto::to_json(proto::Trouble{"the daemon ends", "", ""}));
    }
    return text;
  });
  const auto outcome = maslin("follow");
  EXPECT_EQ(outcome.code, 0);
  EXPECT_THAT(outcome.err, HasSubstr("the daemon ends"));
  EXPECT_THAT(outcome.out, HasSubstr("complete"));
}

TEST_F(Program, SaysThatThereIsNothingToFollow) {
  PlayedDaemon daemon(socket());
  daemon.answer("subscribe", proto::to_json(proto::BatchStatus{}));
  const auto outcome = maslin("follow");
  EXPECT_EQ(outcome.code, 1);
  EXPECT_THAT(outcome.err, HasSubstr("no batch runs"));
}

TEST_F(Program, SendsWhatWasReadOffARefractometer) {
  PlayedDaemon daemon(socket());
  proto::BatchStatus status;
  status.advice = {"62.9 % of solids."};
  daemon.answer("batch_measure", proto::to_json(status));
  const auto outcome = maslin("solids 62.5 --temperature '77 F' --resolution 0.1");
  EXPECT_EQ(outcome.code, 0) << outcome.err;
  EXPECT_THAT(outcome.out, HasSubstr("62.9 % of solids."));
  const auto sent = proto::from_json<proto::MeasureRequest>(daemon.params_of("batch_measure"));
  ASSERT_TRUE(sent.has_value());
  EXPECT_EQ(sent->what, "solids");
  EXPECT_EQ(sent->with, "refractometer");
  EXPECT_NEAR(sent->temperature_c.value_or(0), 25, 1e-9);
  EXPECT_EQ(maslin("solids 62.5").code, 0);
  EXPECT_THAT(daemon.params_of("batch_measure"), HasSubstr("refractometer that corrects itself"));
  EXPECT_EQ(maslin("solids 62.5 --temperature 25").code, 2);  // of which degrees?
}

TEST_F(Program, SendsAPhWithTheMetersTwoBuffers) {
  PlayedDaemon daemon(socket());
  daemon.answer("batch_measure", proto::to_json(proto::BatchStatus{}));
  EXPECT_EQ(maslin("ph 3.9 --low 4.01=4.03 --high 7=6.98 --resolution 0.01 --temperature '21 C' "
                   "--hours 30 --jar 2 --batch 2026-11-25-1")
                .code,
            0);
  const auto sent = proto::from_json<proto::MeasureRequest>(daemon.params_of("batch_measure"));
  ASSERT_TRUE(sent.has_value());
  EXPECT_EQ(sent->with, "meter");
  EXPECT_EQ(sent->low_shown, 4.03);
  EXPECT_EQ(sent->high_buffer, 7);
  EXPECT_EQ(sent->hours, 30);
  EXPECT_EQ(sent->jar, 2);
  EXPECT_EQ(sent->batch, "2026-11-25-1");
  EXPECT_EQ(maslin("ph 3.0 --paper --resolution 0.3 --temperature '21 C'").code, 0);
  EXPECT_THAT(daemon.params_of("batch_measure"), HasSubstr("\"with\":\"paper\""));
  EXPECT_EQ(maslin("ph 3.0 --paper --resolution 0.3").code, 2);  // how warm was it?
  EXPECT_EQ(maslin("ph 3.9 --low 4.01 --resolution 0.01").code, 2);
}

TEST_F(Program, CalibratesAThermometerInIceAndAtTheBoil) {
  PlayedDaemon daemon(socket());
  proto::CalibrationStatus status;
  status.state = "ice";
  status.next = "Now in water that boils hard";
  daemon.answer("calibrate", proto::to_json(status));
  EXPECT_THAT(maslin("calibrate canner --ice").out, HasSubstr("Now in water that boils hard"));
  EXPECT_THAT(daemon.params_of("calibrate"), HasSubstr("\"what\":\"ice\""));
  EXPECT_EQ(maslin("calibrate canner --boiling --pressure '29.9 inHg'").code, 0);
  const auto sent = proto::from_json<proto::CalibrateRequest>(daemon.params_of("calibrate"));
  ASSERT_TRUE(sent.has_value());
  EXPECT_EQ(sent->what, "boiling");
  EXPECT_NEAR(sent->pressure_hpa.value_or(0), 1012.5, 0.1);
  EXPECT_EQ(maslin("calibrate canner --boiling --pressure 1012").code, 2);
}

}  // namespace
}  // namespace maslin::client
