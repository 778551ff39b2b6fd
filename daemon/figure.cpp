// maslin-figure: answers one question at the counter without a daemon; `maslin figure` runs it. Its
// options come from the table of daemon/figures; files that they name are read here.
#include <CLI/CLI.hpp>
#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <map>

#include "daemon/figures/figures.hpp"
#include "proto/rpc.hpp"
#include "proto/screen_text.hpp"

namespace {

using namespace maslin;

// As the client uses them: an answer, refused, wrong usage.
constexpr int kDone = 0;
constexpr int kRefused = 1;
constexpr int kUsage = 2;
constexpr std::size_t kLargestFile = 256U << 10U;  // as a formula may have

struct Question {
  std::string figure;
  bool json = false;
  std::map<std::string, std::vector<std::string>> options;
};

void add(CLI::App& app, const figures::Kind& kind, Question& question) {
  auto* command = app.add_subcommand(kind.name, kind.what);
  command->footer("Example: maslin figure " + kind.name + " " + kind.example);
  command->callback([&question, &kind] { question.figure = kind.name; });
  command->fallthrough();
  for (const figures::OptionKind& option : kind.options) {
    auto* made = command->add_option((option.bare ? "" : "--") + option.name,
                                     question.options[option.name], option.what);
    made->type_name(option.argument)->allow_extra_args(false);
    using enum figures::OptionKind::Need;
    if (option.need == required || option.need == repeated) made->required();
    if (option.need == repeated || option.need == any_number)
      made->take_all();
    else
      made->expected(1);
  }
}

proto::Result<std::string> content(const std::string& file) {
  std::ifstream in(file, std::ios::binary);
  std::string text(kLargestFile + 1, '\0');
  in.read(text.data(), static_cast<std::streamsize>(text.size()));
  if (!in.is_open() || in.bad() || (!in && !in.eof())) {
    return proto::trouble("cannot be read", file, "give a file that is there");
  }
  text.resize(static_cast<std::size_t>(in.gcount()));
  if (text.size() > kLargestFile) {
    return proto::trouble("is larger than 256 KiB", file, "give a formula's file");
  }
  return text;
}

// The options of the figure as they were given, files read; a trouble of a file.
proto::Result<std::vector<figures::Given>> given(const Question& question) {
  std::vector<figures::Given> all;
  for (const figures::Kind& kind : figures::kinds()) {
    if (kind.name != question.figure) continue;
    for (const figures::OptionKind& option : kind.options) {
      for (const std::string& text : question.options.at(option.name)) {
        if (!option.file) {
          all.push_back({option.name, text, {}});
          continue;
        }
        auto read = content(text);
        if (!read) return tl::unexpected(read.error());
        all.push_back({option.name, std::move(*read), text});
      }
    }
  }
  return all;
}

int refuse(const proto::Troubles& troubles, bool json) {
  if (json) {
    std::fprintf(stderr, "%s\n", proto::fault_text({proto::RpcCode::refused, troubles}).c_str());
  } else {
    for (const proto::Trouble& one : troubles) {
      std::fprintf(stderr, "maslin figure: %s\n", proto::line(one).c_str());
    }
  }
  return kRefused;
}

// $COLUMNS, which `maslin` sets to those of the terminal; without it a line is as long as it is.
std::optional<std::size_t> columns_wanted() {
  const char* text = std::getenv("COLUMNS");
  const auto columns = text ? proto::columns_of(text) : std::nullopt;
  if (!columns) return std::nullopt;
  return std::clamp(*columns, proto::kLeastColumns, proto::kPageColumns);
}

// Each line broken where it is too long, what follows two further in.
std::string fitted(std::string_view text, std::size_t columns) {
  std::string out;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find('\n'), text.size());
    std::string_view line = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    const std::size_t in = std::min(line.find_first_not_of(' '), line.size());
    line.remove_prefix(in);
    for (const std::string& part : proto::wrapped(line, columns - std::min(in, columns / 2), 2)) {
      out += std::string(in, ' ') + part + "\n";
    }
  }
  return out;
}

int answer(const Question& question) {
  auto options = given(question);
  if (!options) return refuse({options.error()}, question.json);
  const auto figure = figures::figure(question.figure, std::move(*options));
  if (!figure) return refuse(figure.error(), question.json);
  std::string text = question.json ? figures::to_json(*figure) + "\n" : figures::to_text(*figure);
  if (const auto columns = columns_wanted(); columns && !question.json) {
    text = fitted(text, *columns);
  }
  std::fputs(text.c_str(), stdout);
  if (std::fflush(stdout) != 0 || std::ferror(stdout) != 0) {
    return refuse({{"the answer could not be written", "", "look for room on the disk"}},
                  question.json);
  }
  // What does not hold is printed and marked, and a script hears of it.
  return figure->beyond.empty() ? kDone : kRefused;
}

}  // namespace

int main(int argc, char** argv) {
  Question question;
  // CLI11 would only say that a figure is missing, not which there are.
  if (argc > 1 && argv[1][0] != '-') {
    const auto known = [&](const figures::Kind& kind) { return kind.name == argv[1]; };
    if (std::none_of(figures::kinds().begin(), figures::kinds().end(), known)) {
      refuse(figures::figure(argv[1], {}).error(), false);
      return kUsage;
    }
  }
  CLI::App app("Answers one question at the counter, with how good the answer is.",
               "maslin figure");
  app.add_flag("--json", question.json, "print the answer as one JSON object");
  app.footer(
      "Example: maslin figure weighing --tare 412.6 --gross 562.6 --interval 0.1\n"
      "maslin figure WHAT --help lists what each is asked with.");
  app.require_subcommand(1);
  for (const figures::Kind& kind : figures::kinds()) add(app, kind, question);
  try {
    app.parse(argc, argv);
  } catch (const CLI::Success& help) {
    return app.exit(help);
  } catch (const CLI::ParseError& fault) {
    app.exit(fault);
    return kUsage;
  }
  return answer(question);
}
