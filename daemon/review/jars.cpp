// The list of jars.hpp, and what is due.
#include "daemon/review/jars.hpp"

#include <algorithm>
#include <cctype>
#include <map>
#include <tuple>

#include "daemon/quantity/decimal.hpp"
#include "daemon/quantity/times.hpp"
#include "daemon/review/ledger.hpp"

namespace maslin::review {
namespace {

constexpr std::int64_t hour_ms = 3'600'000;
constexpr std::int64_t day_ms = 24 * hour_ms;

// A powdered-pectin jelly may take a day to two weeks to set (common practice, no source).
constexpr std::int64_t first_rating_ms = day_ms;
constexpr std::int64_t second_rating_ms = 14 * day_ms;
// By then nobody remembers how it was (common practice, no source).
constexpr std::int64_t last_rating_ms = 56 * day_ms;
// USDA Complete Guide to Home Canning, guide 1: the jars cool 12 to 24 hours.
constexpr std::int64_t seals_ms = 12 * hour_ms;
constexpr std::int64_t seals_late_ms = 24 * hour_ms;

// Whoever puts a jar away labels it the same day or the next (common practice, no source).
constexpr std::int64_t done_by_then_ms = 2 * day_ms;

// An order about jars that are not safe is for today (common practice, no source).
constexpr std::int64_t order_late_ms = day_ms;

std::string date_of(std::int64_t utc_ms) { return quantity::utc_text(utc_ms).substr(0, 10); }

// ---- lots -----------------------------------------------------------------------------------

std::string lowered(std::string text) {
  std::transform(text.begin(), text.end(), text.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return text;
}

std::vector<std::string> words(const std::string& text) {
  std::vector<std::string> found(1);
  for (const char c : lowered(text)) {
    if (c == ' ' || c == '-' || c == ',') {
      found.emplace_back();
    } else {
      found.back() += c;
    }
  }
  return found;
}

// "cider vinegar" and "vinegar" speak of one thing: they share a word.
bool share_a_word(const std::string& one, const std::string& other) {
  const auto ours = words(one);
  const auto theirs = words(other);
  return std::any_of(ours.begin(), ours.end(), [&](const auto& word) {
    return word.size() > 2 && std::find(theirs.begin(), theirs.end(), word) != theirs.end();
  });
}

// How the batch holds the lot, in words; empty where it does not. A recall must miss none: a lot
// that was noted for something this formula may call by another name is named as such.
std::string holds(const Ledger& ledger, const std::string& lot) {
  for (const auto& known : ledger.lots) {
    if (lowered(known.lot) != lowered(lot)) continue;
    const std::string what = "lot " + known.lot + " of " + known.of;
    const bool used =
        known.of == "jars" || known.of == "lids" ||
        std::any_of(ledger.plan.ingredients.begin(), ledger.plan.ingredients.end(),
                    [&](const auto& one) { return share_a_word(one.name, known.of); });
    return used ? "holds " + what
                : "may hold " + what +
                      ": it was in use in the kitchen, under no name of this formula";
  }
  return "";
}

// By batch, those that were made of another one included.
std::map<std::string, std::string> holders(const std::vector<Ledger>& ledgers,
                                           const std::string& lot) {
  std::map<std::string, std::string> found;
  for (bool more = true; more;) {
    more = false;
    for (const auto& ledger : ledgers) {
      if (!ledger.start || found.contains(ledger.start->batch)) continue;
      std::string how = holds(ledger, lot);
      const auto parent = found.find(ledger.start->request.parent);
      if (how.empty() && parent != found.end()) {
        how = "made of batch " + parent->first + ", which " + parent->second;
      }
      if (how.empty()) continue;
      found.emplace(ledger.start->batch, std::move(how));
      more = true;
    }
  }
  return found;
}

// ---- jars -----------------------------------------------------------------------------------

// "4 jars of 250 mL and one part-filled" -> "250 mL"
std::string size_of(const proto::Plan& plan) {
  if (plan.jar_ml > 0) return quantity::plain(plan.jar_ml, 0) + " mL";
  const auto at = plan.jars.find(" of ");
  if (at == std::string::npos) return "";
  const std::string rest = plan.jars.substr(at + 4);
  return rest.substr(0, rest.find(" and "));
}

// What to use first comes first; what is gone comes last.
int rank(const std::string& where) {
  static const std::map<std::string, int> ranks = {
      {"not sealed", 0}, {"opened", 1}, {"refrigerator", 2}, {"cooling", 3},  {"shelf", 4},
      {"freezer", 5},    {"given", 6},  {"remade", 6},       {"discarded", 7}};
  const auto found = ranks.find(where);
  return found == ranks.end() ? 3 : found->second;
}
bool gone(const std::string& where) { return rank(where) >= 6; }
bool eaten_or_so(const std::string& where) { return where == "discarded" || where == "remade"; }

// `past`: its date is; `new_there`: it came where it is only now.
std::string todo_of(const Ledger& ledger, const JarNow& jar, bool past, bool new_there) {
  if (jar.where == "discarded") return "";  // whatever was to be done with it
  if (gone(jar.where) || (jar.lasting && !jar.todo.empty())) return jar.todo;
  const bool ended =
      ledger.state == "complete" || ledger.state == "stopped" || ledger.state == "aborted";
  if (past && jar.where == "not sealed") {
    return "Not sealed for over 24 hours: discard it, unless it stood in the refrigerator.";
  }
  if (past && jar.good.means == "use by") {
    return "Past its date: when in doubt discard it, and do not taste it to find out.";
  }
  if (past && jar.good.means == "best before") {
    return "Past its best: look at it first. Bulging, leaking, spurting or mould: do not taste it.";
  }
  if (!jar.todo.empty() && new_there) return jar.todo;
  if (jar.where == "not sealed") {
    return "New lid and the full time again, or freeze it, or refrigerate it.";
  }
  if ((jar.where == "cooling" || jar.where == "in the making") && ended) {
    return "Say where it is: maslin jar " + ledger.start->batch + " " + std::to_string(jar.number) +
           " PLACE";
  }
  return "";
}

struct Sorted {
  proto::JarGroup group;
  std::int64_t until = 0;
  std::int64_t barred_ms = 0;
  bool lasting = false;  // what is to be done with them is to be done as long as they are there
};

void add_groups(const Ledger& ledger, const JarQuestion& question, const std::string& how,
                std::vector<Sorted>& out) {
  std::vector<Sorted> groups;
  for (const auto& jar : ledger.jars) {
    if (jar.where == "not there") continue;
    // What was given away and is not safe is not out of the world.
    const bool asked_for = question.all || !question.lot.empty();
    const bool barred = jar.lasting && !jar.todo.empty() && jar.where != "discarded";
    if (gone(jar.where) && !asked_for && !barred) continue;
    Sorted one;
    one.group.batch = ledger.start->batch;
    one.group.formula = ledger.plan.formula;
    one.group.part_filled = jar.part_filled;
    one.group.unit = ledger.unit;
    if (ledger.unit == "jar") one.group.size = size_of(ledger.plan);
    one.group.where = jar.where;
    one.group.since_utc = quantity::utc_text(jar.since_utc_ms);
    if (jar.good.until_utc_ms && !eaten_or_so(jar.where)) one.until = *jar.good.until_utc_ms;
    // What is barred has no date to be at its best until; one to be used by it keeps.
    if (one.until > 0 && !(barred && jar.good.means == "best before")) {
      one.group.until_utc = quantity::utc_text(one.until);
      one.group.until_means = jar.good.means;
      one.group.basis = jar.good.basis;
      one.group.past = question.now_utc_ms > one.until;
    }
    one.group.todo = todo_of(
        ledger, jar, one.group.past,
        question.now_utc_ms > 0 && question.now_utc_ms - jar.since_utc_ms < done_by_then_ms);
    one.lasting = barred;
    one.barred_ms = jar.barred_utc_ms;
    one.group.holds = how;
    if (question.names) one.group.whom = jar.whom;
    if (jar.where == "discarded") one.group.why = jar.why;
    const auto alike = [&](const Sorted& other) {
      const auto key = [](const proto::JarGroup& g) {
        return std::tie(g.part_filled, g.where, g.since_utc, g.until_utc, g.todo, g.whom, g.why);
      };
      return key(other.group) == key(one.group);
    };
    auto found = std::find_if(groups.begin(), groups.end(), alike);
    if (found == groups.end()) found = groups.insert(groups.end(), std::move(one));
    found->group.jars.push_back(jar.number);
  }
  std::move(groups.begin(), groups.end(), std::back_inserter(out));
}

// ---- what is due ----------------------------------------------------------------------------

void add_tasks(const Ledger& ledger, std::int64_t now_ms, std::vector<proto::JarTask>& tasks) {
  const std::string& batch = ledger.start->batch;
  const auto due = [&](std::string text, std::int64_t at_ms, bool late) {
    tasks.push_back({batch, std::move(text), quantity::utc_text(at_ms), late});
  };
  const auto any_in = [&](std::string_view where) {
    return std::any_of(ledger.jars.begin(), ledger.jars.end(),
                       [&](const auto& jar) { return jar.where == where; });
  };
  const bool open = ledger.state == "running" || ledger.state == "held";
  if (open && ledger.plan.keeping == "shelf" && any_in("cooling")) {
    const std::int64_t from =
        ledger.cooling_utc_ms > 0 ? ledger.cooling_utc_ms : ledger.filled_utc_ms;
    if (now_ms >= from + seals_ms) {
      const bool late = now_ms > from + seals_late_ms;
      due(late ? "The 24 hours are over: look at the seals now, then maslin seals. What did not "
                 "seal and stood in the warm is discarded."
               : "Look at the seals, then: maslin seals",
          from + seals_ms, late);
    }
  }
  if (ledger.state != "complete" || ledger.complete_utc_ms == 0) return;
  const bool none_left =
      !ledger.jars.empty() && std::all_of(ledger.jars.begin(), ledger.jars.end(),
                                          [](const auto& jar) { return gone(jar.where); });
  const std::int64_t age = now_ms - ledger.complete_utc_ms;
  if (none_left || age > last_rating_ms) return;
  const auto rated_from = [&](std::int64_t ms) {
    return std::any_of(ledger.rated_after_ms.begin(), ledger.rated_after_ms.end(),
                       [&](std::int64_t after) { return after >= ms; });
  };
  const std::string rate = "maslin rate " + batch + " --set HOW";
  // A day early is the same day to a cook.
  if (age >= second_rating_ms) {
    if (!rated_from(second_rating_ms - day_ms)) {
      due("Two weeks old: say how it turned out: " + rate,
          ledger.complete_utc_ms + second_rating_ms, false);
    }
  } else if (age >= first_rating_ms && !rated_from(0)) {
    due("A day old: say how it turned out: " + rate, ledger.complete_utc_ms + first_rating_ms,
        false);
  }
}

// Orders about jars that are not safe where they are, and tasks about those past their date.
void add_jar_tasks(const std::vector<Sorted>& groups, std::int64_t now_ms,
                   std::vector<proto::JarTask>& orders, std::vector<proto::JarTask>& tasks) {
  const auto add = [&](std::vector<proto::JarTask>& to, const proto::JarGroup& group,
                       const std::string& what, const std::string& since_utc, bool late) {
    const bool cold = group.where == "refrigerator" || group.where == "freezer";
    const std::string place = group.where == "shelf" ? "on the shelf"
                              : cold                 ? "in the " + group.where
                                                     : group.where;
    to.push_back({group.batch,
                  quantity::jar_names(group.jars, group.unit) + ", " + place + ": " + what,
                  since_utc, late});
  };
  for (const auto& one : groups) {
    if (!one.lasting) continue;
    add(orders, one.group, one.group.todo, quantity::utc_text(one.barred_ms),
        now_ms - one.barred_ms >= order_late_ms);
  }
  for (const auto& one : groups) {
    if (one.lasting || !one.group.past || gone(one.group.where)) continue;
    add(tasks, one.group, one.group.until_means + " " + date_of(one.until) + ", which is past.",
        one.group.until_utc, true);
  }
}

// By what to use first, on one day by batch: "2026-11-25-2" comes before "2026-11-25-10".
bool before(const Sorted& a, const Sorted& b) {
  const auto key = [](const Sorted& one) {
    const std::string& batch = one.group.batch;
    return std::tuple(rank(one.group.where), one.until / day_ms, batch.size(), batch,
                      one.group.jars.front());
  };
  return key(a) < key(b);
}

}  // namespace

std::vector<proto::JarGroup> jars_of(std::span<const proto::Entry> entries) {
  const Ledger known = ledger(entries);
  if (!known.start) return {};
  JarQuestion question;
  question.all = true;
  std::vector<Sorted> groups;
  add_groups(known, question, "", groups);
  std::vector<proto::JarGroup> found;
  found.reserve(groups.size());
  for (auto& one : groups) found.push_back(std::move(one.group));
  return found;
}

proto::JarList jars(std::span<const std::vector<proto::Entry>> batches,
                    const JarQuestion& question) {
  std::vector<Ledger> ledgers;
  for (const auto& entries : batches) {
    ledgers.push_back(ledger(entries));
    if (!ledgers.back().start) ledgers.pop_back();
  }
  std::map<std::string, std::string> held;
  if (!question.lot.empty()) held = holders(ledgers, question.lot);
  proto::JarList list;
  std::vector<Sorted> groups;
  for (const auto& ledger : ledgers) {
    const std::string& batch = ledger.start->batch;
    if (!question.batch.empty() && batch != question.batch) continue;
    if (!question.lot.empty() && !held.contains(batch)) continue;
    add_groups(ledger, question, question.lot.empty() ? "" : held[batch], groups);
    if (question.lot.empty()) add_tasks(ledger, question.now_utc_ms, list.todo);
  }
  std::stable_sort(groups.begin(), groups.end(), before);
  std::vector<proto::JarTask> orders;
  if (question.lot.empty()) add_jar_tasks(groups, question.now_utc_ms, orders, list.todo);
  std::stable_sort(list.todo.begin(), list.todo.end(),
                   [](const auto& a, const auto& b) { return a.late > b.late; });
  list.todo.insert(list.todo.begin(), orders.begin(), orders.end());
  list.jars.reserve(groups.size());
  for (auto& one : groups) list.jars.push_back(std::move(one.group));
  return list;
}

}  // namespace maslin::review
