// Where the daemon's socket and the formulas are.
#include "client/places.hpp"

#include <algorithm>
#include <fstream>
#include <iterator>

#include "client/text.hpp"

namespace maslin::client {
namespace {

namespace fs = std::filesystem;

constexpr std::uintmax_t kLargestFormula = 256U
                                           << 10U;  // the daemon takes no message over a mebibyte

std::string position(const std::string& file, std::string_view text, std::size_t at) {
  const std::string_view before = text.substr(0, at);
  const std::size_t row = before.rfind('\n');
  const std::string_view in_line = row == std::string_view::npos ? before : before.substr(row + 1);
  return file + ":" + std::to_string(std::count(before.begin(), before.end(), '\n') + 1) + ":" +
         std::to_string(width(in_line) + 1);
}

proto::Result<FormulaText> read_file(const fs::path& file) {
  std::error_code fault;
  if (fs::is_directory(file, fault)) {
    return proto::trouble("is a directory", file.string(), "give a formula's file");
  }
  const auto size = fs::file_size(file, fault);
  if (!fault && size > kLargestFormula) {
    return proto::trouble("has " + std::to_string(size / 1024) + " KiB; a formula has at most 256",
                          file.string(), "give a formula's file");
  }
  std::ifstream in(file, std::ios::binary);
  // One byte more than allowed shows that a pipe holds too much.
  std::string text(kLargestFormula + 1, '\0');
  in.read(text.data(), static_cast<std::streamsize>(text.size()));
  if (in.bad() || (!in && !in.eof())) {
    return proto::trouble("cannot be read", file.string(), "look at its permissions");
  }
  text.resize(static_cast<std::size_t>(in.gcount()));
  if (text.size() > kLargestFormula) {
    return proto::trouble("is larger than 256 KiB", file.string(), "give a formula's file");
  }
  if (const auto bad = first_bad_byte(text)) {
    return proto::trouble("is not UTF-8 here", position(file.string(), text, *bad),
                          "save the file as UTF-8");
  }
  return FormulaText{file.string(), std::move(text)};
}

// Names of the formulas in a directory, sorted.
std::vector<std::string> formulas_in(const fs::path& directory) {
  std::vector<std::string> names;
  std::error_code fault;
  for (const auto& entry : fs::directory_iterator(directory, fault)) {
    if (entry.path().extension() == ".toml") names.push_back(entry.path().stem().string());
  }
  std::sort(names.begin(), names.end());
  return names;
}

}  // namespace

fs::path socket_path(const std::string& option, const Environment& environment) {
  if (!option.empty()) return option;
  if (const auto set = environment("MASLIN_SOCKET")) return *set;
  if (const auto runtime = environment("XDG_RUNTIME_DIR")) {
    const fs::path own = fs::path(*runtime) / "maslin/socket";
    std::error_code fault;
    // Permission denied on the way to it also counts as there: connecting will say so.
    if (fs::exists(own, fault) || fault) return own;
  }
  return "/run/maslin/socket";
}

fs::path figure_program(const fs::path& program) {
  const fs::path here = program.parent_path();
  for (const fs::path& found :
       {here / "maslin-figure", here.parent_path() / "libexec/maslin/maslin-figure",
        fs::path(MASLIN_FIGURE_INSTALLED)}) {
    std::error_code fault;
    if (fs::exists(found, fault)) return found;
  }
  return {};
}

std::vector<fs::path> formula_directories(const fs::path& program) {
  // Beside the program as it was installed, wherever that tree was moved to; then where the build
  // put them; then the sources that it was built from.
  return {program.parent_path().parent_path() / "share/maslin/formulas", MASLIN_FORMULAS_INSTALLED,
          MASLIN_FORMULAS_HERE};
}

proto::Result<FormulaText> read_formula(const std::string& name, const fs::path& program) {
  std::error_code fault;
  if (fs::exists(name, fault)) return read_file(name);
  std::vector<std::string> known;
  if (name.find('/') == std::string::npos) {
    const std::string stem = name.ends_with(".toml") ? name.substr(0, name.size() - 5) : name;
    for (const fs::path& directory : formula_directories(program)) {
      known = formulas_in(directory);
      if (known.empty()) continue;
      if (std::find(known.begin(), known.end(), stem) != known.end()) {
        auto read = read_file(directory / (stem + ".toml"));
        if (read) read->file = stem + ".toml";
        return read;
      }
      break;
    }
  }
  std::string names;
  for (const std::string& formula : known) names += (names.empty() ? "" : ", ") + formula;
  return proto::trouble(
      "there is no such file or formula", name,
      names.empty() ? "give the path of a formula's file" : "give a file, or one of: " + names);
}

}  // namespace maslin::client
