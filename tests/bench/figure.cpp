// An answer at the counter beside a program that does nothing with the same libraries: from the
// start to the exit, one after the other so that both meet the same machine.
#include <unistd.h>

#include <stdexcept>

#include "tests/bench/table.hpp"
#include "tests/system/house.hpp"

namespace maslin::bench {
namespace {

double once_ms(const std::vector<std::string>& command) {
  const auto begin = now_ns();
  house::Process process(command, "/dev/null", "/dev/null");
  while (process.runs()) usleep(50);
  const auto took_ms = static_cast<double>(now_ns() - begin) / 1e6;
  if (process.wait() != 0) throw std::runtime_error(command.front() + " failed");
  return took_ms;
}

void answers(const std::string& what, std::vector<std::string> words) {
  words.insert(words.begin(), house::bin("maslin-figure"));
  std::vector<double> figure_ms;
  std::vector<double> empty_ms;
  for (int i = 0; i < 200; ++i) {
    figure_ms.push_back(once_ms(words));
    empty_ms.push_back(once_ms({house::bin("bench_empty_figure")}));
  }
  const double figure = quantile(figure_ms, 0.5);
  const double empty = quantile(empty_ms, 0.5);
  print({what, figure, "ms", empty, "< 2 of an empty program", figure < 2 * empty});
}

}  // namespace
}  // namespace maslin::bench

int main() {
  using maslin::bench::answers;
  answers("maslin-figure boiling, p50", {"boiling", "--altitude", "1500 m", "--json"});
  answers("maslin-figure weighing, p50",
          {"weighing", "--tare", "412.6 g", "--gross", "562.6 g", "--interval", "1 g", "--json"});
  answers("maslin-figure water-activity, p50",
          {"water-activity", "--sucrose", "65 g", "--water", "35 g", "--json"});
  return maslin::bench::missed ? 1 : 0;
}
