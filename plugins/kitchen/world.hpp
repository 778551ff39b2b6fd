// The simulated kitchen as a whole: things, a cook who acts only on the cues he hears, and what
// goes wrong. The plugin runs it behind the plugin interface; scenario tests run it in-process.
// Deterministic: the same scenario and the same cues at the same times give the same readings.
#pragma once

#include <cstdint>
#include <deque>
#include <optional>
#include <string>
#include <vector>

#include "plugins/kitchen/drier.hpp"
#include "plugins/kitchen/physics.hpp"
#include "plugins/kitchen/scenario.hpp"

namespace maslin::kitchen {

// What the cook hears. Only what a cue says; nothing of what the daemon thinks.
struct Heard {
  std::int64_t at_ms = 0;
  std::string id;
  std::string says;
  std::string ingredient;
  double amount_g = 0;
};

// Where the kitchen's readings go. Called in order of time, from advance().
class Sink {
 public:
  virtual ~Sink() = default;
  virtual void scale_reading(std::int64_t at_ms, std::int64_t intervals, bool over) = 0;
  virtual void fine_reading(std::int64_t at_ms, std::int64_t intervals, bool over) = 0;
  virtual void scale_there(std::int64_t at_ms, bool there) = 0;
  virtual void probe_reading(std::int64_t at_ms, std::int64_t tenths_c) = 0;
  virtual void canner_reading(std::int64_t at_ms, std::int64_t tenths_c) = 0;
  virtual void room_reading(std::int64_t at_ms, std::int64_t tenths_c) = 0;
  virtual void pedal(std::int64_t at_ms, std::int64_t presses) = 0;
};

// True masses, for tests that ask how well the tool weighed. The daemon never sees them.
struct TrueMass {
  std::string ingredient;
  double grams = 0;
};

class World {
 public:
  explicit World(const Scenario& scenario);

  // The soonest moment at which something is sent, milliseconds.
  std::int64_t next_ms() const;
  // Lives up to and including at_ms.
  void advance(std::int64_t at_ms, Sink& sink);
  void hear(const Heard& heard);

  const std::vector<TrueMass>& truth() const { return truth_; }
  // When the load last changed, milliseconds.
  std::int64_t last_change_ms() const { return last_change_ms_; }
  // A jar got a new lid that seals.
  void seal(int jar) { std::erase(scenario_.unsealed, jar); }
  // The trays as they truly are; a test may take food away, or change a tray. Null without any.
  Drier* drier() { return drier_ ? &*drier_ : nullptr; }
  // The cook leaves this tray standing until he is told that one is missing.
  void forget_tray(std::size_t tray) { forgotten_ = tray; }
  // It is there no more, nor is its food.
  void drop_tray(std::size_t tray) {
    drier_->trays()[tray] = {};
    forgotten_.reset();
  }
  // Something else is weighed meanwhile.
  void put_aside(double grams, double for_s) {
    other_g_ = grams;
    acts_ = {{Act::What::pause, for_s}, {Act::What::other_off}};
  }
  // How he treats trays from now on.
  TraysModel& trays() { return *scenario_.trays; }
  // How hot the pots truly are, for the same tests; empty while the canner is.
  const Pot& pan() const { return pot_; }
  const Pot* canner() const { return canner_ ? &canner_->water() : nullptr; }
  // What stands in the place, as warm as a glass of water there.
  double room_c() const { return room_probe_.tip_c(); }

 private:
  // One thing the cook does at the scale; they follow one another.
  struct Act {
    enum class What {
      pause,
      vessel,
      lift,
      pour,
      scoop,
      spoon_out,
      by_eye,
      press,
      tray_on,
      tray_off,
      out_of_drier,
      into_drier,
      other_off
    } what = What::pause;
    double seconds = 0;  // pause
    double grams = 0;    // how much is wanted
    bool begun = false;
    double left = 0;
    std::size_t tray = 0;
  };
  static constexpr std::size_t no_answer = SIZE_MAX;
  // What the cook has set out to do besides, each at its time.
  struct Task {
    std::int64_t due_ms = 0;
    std::size_t answer = no_answer;  // of the scenario
    Does does = Does::nothing;
    PotName pot = PotName::pan;
    bool of_step = false;
    bool and_looks = false;  // jars: asked in one with the boil
  };
  // A trouble that has begun or is about to.
  struct Running {
    std::size_t trouble = 0;
    std::int64_t begin_ms = 0;
    std::int64_t end_ms = 0;
  };

  std::int64_t next_send_ms() const;
  std::int64_t busy_ms() const;
  void send(Sink& sink);
  void live(double seconds);
  void foresee_troubles(const Heard& heard);
  void follow_troubles();
  bool troubled(TroubleModel::What what, PotName pot) const;
  double load_g() const;
  bool& vessel_here() { return on_fine_ ? fine_vessel_on_ : vessel_on_; }
  bool fine_awake() const;
  void live_fine(double seconds);
  bool perform(Act& act, double seconds);
  bool pour(Act& act, double seconds);
  bool scoop(Act& act, double seconds);
  void react();
  void plan_for(const Heard& heard);
  void plan_weighing(const Heard& heard);
  void begin_pour(const Heard& heard, double after_s);
  bool answer(const Heard& heard);
  void answer_for_jar(const Heard& heard);
  bool hear_of_trays(const Heard& heard);
  void weigh_trays(bool loaded, double after_s);
  bool put_tray(Act& act, double seconds);
  void run_errand(std::size_t index, const Heard& heard);
  void drop_errands(const std::vector<std::size_t>& but);
  void relight();
  void do_tasks();
  bool done(Task& task);
  void into_pan(const std::vector<std::string>& names);
  void push_scale();
  void press();
  void light_canner();
  void burner(PotName pot, double share);
  void add(double grams);
  void check_faults(Sink& sink);
  void check_sleep(double load_g);
  const IngredientModel& ingredient(const std::string& name);
  double in_g() const;  // of the current ingredient
  double reaction_s();

  // Life goes in steps of a grid: short ones while the cook's hands move, longer ones between.
  static constexpr std::int64_t grid_ms = 20;
  static constexpr std::int64_t longest_step_ms = 1000;
  // A night in which food dries or stands and nobody moves may take longer ones.
  static constexpr std::int64_t longest_still_ms = 20'000;
  std::int64_t longest_ms() const {
    return (scenario_.trays || scenario_.room) && pan_share_ == 0 && canner_share_ == 0 &&
                   acts_.empty()
               ? longest_still_ms
               : longest_step_ms;
  }
  static std::int64_t on_grid(std::int64_t at_ms) {
    return (at_ms + grid_ms - 1) / grid_ms * grid_ms;
  }

  Scenario scenario_;
  SimulatedScale scale_;
  SimulatedScale fine_scale_;
  Pot pot_;
  Probe probe_;
  std::optional<Canner> canner_;  // once it is filled
  Probe canner_probe_;
  std::optional<Drier> drier_;
  bool drying_ = false;                   // the trays are in the drier
  bool tone_ = false;                     // the load on the scale was taken
  double other_g_ = 0;                    // on the scale besides
  std::optional<std::size_t> on_scale_;   // tray
  std::optional<std::size_t> forgotten_;  // tray
  Probe room_probe_;
  Chance cook_chance_;
  std::int64_t now_ms_ = -grid_ms;  // lived up to and including it
  std::int64_t last_change_ms_ = 0;
  std::int64_t next_scale_us_ = 0;  // microseconds: few rates have whole milliseconds
  std::int64_t next_probe_ms_ = 0;
  std::int64_t next_canner_ms_ = 0;
  std::int64_t next_room_ms_ = 0;

  std::deque<Act> acts_;
  std::vector<Task> tasks_;
  std::vector<Running> running_;
  std::vector<bool> troubles_done_;
  double pan_share_ = 0;  // of the burners' power, as the cook set them
  double canner_share_ = 0;
  std::int64_t hand_until_ms_ = 0;                      // pushes on the scale
  std::deque<std::pair<std::int64_t, Heard>> pending_;  // heard, and when the hand follows
  std::string current_;                                 // ingredient
  std::vector<TrueMass> truth_;
  double vessel_content_g_ = 0;
  bool vessel_on_ = false;
  bool on_fine_ = false;  // the cook works on the fine scale
  bool fine_vessel_on_ = false;
  double fine_content_g_ = 0;
  double fine_load_g_ = 0;
  std::int64_t fine_changed_ms_ = 0;
  std::int64_t next_fine_us_ = 0;
  double flow_g_s_ = 0;
  double slow_factor_ = 1;
  double stop_in_s_ = -1;  // seconds until the hand closes; < 0: no stop was heard
  double closing_left_s_ = 0;
  std::int64_t presses_ = 0;
  std::int64_t presses_sent_ = 0;
  bool scale_there_ = true;
  bool scale_asleep_ = false;
  std::int64_t load_changed_ms_ = 0;
  double load_g_ = 0;  // on the scale
  std::int64_t scale_back_ms_ = 0;
  std::vector<bool> faults_done_;
  std::vector<bool> slips_done_;
};

}  // namespace maslin::kitchen
