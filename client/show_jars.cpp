// The jars in the house, what is due, and where a lot went.
#include <algorithm>
#include <set>

#include "client/show.hpp"
#include "client/text.hpp"

namespace maslin::client {
namespace {

std::string day(const std::string& iso_utc) { return moment_text(iso_utc).substr(0, 10); }

std::string where(const proto::JarGroup& group) {
  if (group.whom.empty()) return group.where;
  return group.where + (group.whom.starts_with("to ") ? " " : " to ") + group.whom;
}

// "1, 3", of what is no jar "piece 1"
std::string which(const proto::JarGroup& group) {
  const std::string numbers = numbers_text(group.jars);
  if (group.unit == "jar") return numbers;
  return group.unit + (group.jars.size() == 1 ? " " : "s ") + numbers;
}

std::string until(const proto::JarGroup& group) {
  if (group.until_utc.empty()) return "-";
  return group.until_means + " " + day(group.until_utc) + (group.past ? ", PAST" : "");
}

}  // namespace

std::string show(const proto::JarList& list) {
  Page page;
  std::vector<std::string> due;
  for (const auto& task : list.todo) {
    due.push_back((task.late ? "late, " : "") + std::string("since ") + day(task.due_utc) +
                  ", batch " + task.batch + ": " + task.text);
  }
  if (!due.empty()) page.list("To do", due).gap();
  if (list.jars.empty()) {
    return page
        .line(
            "There are no such jars. Those that were given away, remade or discarded are listed "
            "with maslin jars --all")
        .text();
  }
  Table table({"batch", "jars", "what", "size", "where", "since", "until"});
  for (const auto& group : list.jars) {
    table.row({group.batch, which(group) + (group.part_filled ? ", part-filled" : ""),
               group.formula, group.size, where(group), day(group.since_utc), until(group)});
  }
  page.raw(table.text());
  std::vector<std::string> holds;
  for (const auto& group : list.jars) {
    const std::string line = "batch " + group.batch + " " + group.holds + ".";
    if (!group.holds.empty() && std::find(holds.begin(), holds.end(), line) == holds.end()) {
      holds.push_back(line);
    }
  }
  page.list("The lot", holds);
  std::vector<std::string> notes;
  std::vector<std::string> gone;
  for (const auto& group : list.jars) {
    const std::string about = group.batch + " " + which(group) + ": ";
    if (!group.todo.empty()) notes.push_back(about + group.todo);
    if (!group.why.empty()) gone.push_back(about + group.why + ".");
  }
  page.list("What to do with them", notes);
  page.list("Why they were discarded", gone);
  // Where the dates come from, once each.
  std::set<std::string> bases;
  for (const auto& group : list.jars) {
    if (!group.basis.empty()) bases.insert(group.until_means + ": " + group.basis);
  }
  page.list("Where the dates come from", {bases.begin(), bases.end()});
  return page.text();
}

}  // namespace maslin::client
