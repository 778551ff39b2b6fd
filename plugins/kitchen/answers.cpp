// What the cook does on hearing a cue, as the scenario tells: the pots, the pedal, the jars. And
// what goes wrong with the pots meanwhile. Each errand has its time; they do not wait for another.
#include <algorithm>
#include <utility>

#include "plugins/kitchen/world.hpp"

namespace maslin::kitchen {
namespace {

constexpr double press_for_jar_s = 2;
constexpr double push_s = 0.5;
constexpr std::string_view boils_hard = "boils hard";  // who is asked for that too, looks

std::int64_t in_ms(double seconds) { return static_cast<std::int64_t>(seconds * 1000); }

bool says(const Heard& heard, const std::string& cue, const std::string& words) {
  return cue == heard.id && heard.says.find(words) != std::string::npos;
}

}  // namespace

// True where the scenario has answers; all that fit are done. A step that is said again finds the
// cook on it already; an errand of an earlier step is dropped.
bool World::answer(const Heard& heard) {
  std::vector<std::size_t> fitting;
  bool something = false;
  for (std::size_t i = 0; i < scenario_.answers.size(); ++i) {
    const auto& one = scenario_.answers[i];
    if (!says(heard, one.cue, one.hears)) continue;
    fitting.push_back(i);
    something = something || one.does != Does::nothing;
  }
  const bool step = heard.id == "step";
  if (step && something) {
    acts_.clear();
    drop_errands(fitting);
  }
  for (const std::size_t i : fitting) run_errand(i, heard);
  return !fitting.empty();
}

void World::run_errand(std::size_t index, const Heard& heard) {
  const auto& answer = scenario_.answers[index];
  if (answer.does == Does::nothing ||
      std::any_of(tasks_.begin(), tasks_.end(),
                  [&](const auto& task) { return task.answer == index; })) {
    return;
  }
  Task task;
  task.due_ms = now_ms_ + in_ms(answer.after_s);
  task.answer = index;
  task.does = answer.does;
  task.pot = answer.pot.value_or(heard.id == "boil_asked" ? PotName::canner : PotName::pan);
  task.of_step = heard.id == "step";
  task.and_looks = answer.does == Does::jars && heard.says.find(boils_hard) != std::string::npos;
  tasks_.push_back(task);
}

// Those that another step had asked for.
void World::drop_errands(const std::vector<std::size_t>& but) {
  std::erase_if(tasks_, [&](const Task& task) {
    return task.of_step && std::find(but.begin(), but.end(), task.answer) == but.end();
  });
}

// A jar that sealed is answered for, one that did not is not.
void World::answer_for_jar(const Heard& heard) {
  const bool open = std::any_of(scenario_.unsealed.begin(), scenario_.unsealed.end(), [&](int jar) {
    return heard.ingredient == "jar " + std::to_string(jar);
  });
  if (open) return;
  Task task;
  task.due_ms = now_ms_ + in_ms(press_for_jar_s);
  task.does = Does::press;
  tasks_.push_back(task);
}

void World::do_tasks() {
  std::erase_if(tasks_, [this](Task& task) { return task.due_ms <= now_ms_ && done(task); });
}

bool World::done(Task& task) {
  switch (task.does) {
    case Does::vessel:
      // Asked again for what is done, he does it again.
      if (std::exchange(vessel_on_, false)) acts_.push_back({Act::What::pause, 5.0});
      acts_.push_back({Act::What::vessel});
      break;
    case Does::heat:
      into_pan(scenario_.answers[task.answer].of);
      burner(PotName::pan, 1);
      break;
    case Does::look:
      if (task.pot == PotName::canner ? !canner_ || !canner_->water().boiling() : !pot_.boiling())
        return false;  // he waits, and looks again
      press();
      break;
    case Does::canner:
      light_canner();
      press();
      break;
    case Does::jars:
      light_canner();
      if (canner_) canner_->load_jars();
      if (task.and_looks) {
        task.does = Does::look;
        task.pot = PotName::canner;
        return false;
      }
      press();
      break;
    case Does::press_scale:
      push_scale();
      break;
    case Does::press:
      press();
      break;
    case Does::off:
      burner(PotName::pan, 0);
      break;
    case Does::canner_off:
      burner(PotName::canner, 0);
      break;
    case Does::nothing:
      break;
  }
  return true;
}

// Of what was weighed, the ingredients named, or all.
void World::into_pan(const std::vector<std::string>& names) {
  double grams = names.empty() ? vessel_content_g_ : 0;
  for (const auto& one : truth_) {
    if (std::find(names.begin(), names.end(), one.ingredient) != names.end()) grams += one.grams;
  }
  pot_.fill(grams);
  vessel_content_g_ = std::max(0.0, vessel_content_g_ - grams);
  vessel_on_ = false;
}

void World::push_scale() { hand_until_ms_ = now_ms_ + in_ms(push_s); }

void World::press() {
  if (scenario_.cook.presses == "scale") {
    push_scale();
  } else {
    ++presses_;
  }
}

// Filled where it is empty.
void World::light_canner() {
  if (!canner_ && scenario_.canner) canner_.emplace(*scenario_.canner);
  burner(PotName::canner, 1);
}

void World::burner(PotName pot, double share) {
  (pot == PotName::pan ? pan_share_ : canner_share_) = share;
}

void World::foresee_troubles(const Heard& heard) {
  for (std::size_t i = 0; i < scenario_.troubles.size(); ++i) {
    const auto& trouble = scenario_.troubles[i];
    if (troubles_done_[i] || !says(heard, trouble.cue, trouble.hears)) continue;
    troubles_done_[i] = true;
    const std::int64_t begin_ms = heard.at_ms + in_ms(trouble.after_s);
    running_.push_back(
        {i, begin_ms, trouble.for_s > 0 ? begin_ms + in_ms(trouble.for_s) : INT64_MAX});
  }
}

bool World::troubled(TroubleModel::What what, PotName pot) const {
  if (running_.empty()) return false;
  return std::any_of(running_.begin(), running_.end(), [&](const Running& one) {
    const auto& trouble = scenario_.troubles[one.trouble];
    return trouble.what == what && trouble.pot == pot && one.begin_ms <= now_ms_;
  });
}

void World::follow_troubles() {
  std::erase_if(running_, [this](const Running& one) { return one.end_ms <= now_ms_; });
  using What = TroubleModel::What;
  pot_.burner(troubled(What::burner_out, PotName::pan) ? 0 : pan_share_);
  if (!canner_) return;
  canner_->burner(troubled(What::burner_out, PotName::canner) ? 0 : canner_share_);
  canner_->lid_lifted(troubled(What::lid_lifted, PotName::canner));
}

// Told that a boil is lost, the cook looks and lights the burner that is out.
void World::relight() {
  for (auto& one : running_) {
    if (scenario_.troubles[one.trouble].what != TroubleModel::What::burner_out ||
        one.begin_ms > now_ms_) {
      continue;
    }
    one.end_ms = std::min(one.end_ms, now_ms_ + in_ms(scenario_.cook.relight_s));
  }
}

}  // namespace maslin::kitchen
