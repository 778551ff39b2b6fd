// One operation of a batch while it runs. The engine calls it; it changes the desk and says when it
// is done.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>

#include "daemon/batch/desk.hpp"
#include "proto/methods.hpp"

namespace maslin::batch {

class Operation {
 public:
  explicit Operation(int index) : index_(index) {}
  virtual ~Operation() = default;
  Operation(const Operation&) = delete;
  Operation& operator=(const Operation&) = delete;

  virtual void begin(Desk& desk) = 0;
  // A reading of a scale has been taken into its pan.
  virtual void scale_changed(Desk&, ScaleDesk&, const weighing::PanChange&) {}
  // The pan's thermometer has a new value, lost or found it.
  virtual void pan_changed(Desk&) {}
  virtual void canner_changed(Desk&) {}
  virtual void room_changed(Desk&) {}  // a reading of the place in which it stands
  // A firm press of a scale's pan. False: it is an ok like any other; true: the operation itself
  // makes of it what it is, since it weighs what lies there.
  virtual bool take_press(Desk&) { return false; }
  // The cook's one-bit answer. `refuses_ok` tells beforehand why it would change nothing.
  virtual std::optional<proto::Trouble> refuses_ok(const Desk&) const { return std::nullopt; }
  virtual void ok(Desk& desk) = 0;
  virtual std::optional<proto::Trouble> refuses_accept(const Desk&) const;
  virtual void accept(Desk&, const std::string&) {}
  // The cook wants another way than the one that an ok would take.
  virtual std::optional<proto::Trouble> refuses_no(const Desk&) const;
  virtual void no(Desk&) {}
  // So much of what dries was taken away as food.
  virtual std::optional<proto::Trouble> refuses_eaten(const Desk&, std::int64_t mass_ug) const;
  virtual void eaten(Desk&, std::int64_t) {}
  // What the cook says of jars in a step that asks for it.
  virtual std::optional<proto::Trouble> refuses(const Desk&, const proto::JarWord& word) const;
  virtual void take(Desk&, const proto::JarWord&) {}
  virtual void jars_moved(Desk&) {}  // the cook has said where jars are
  // Where the batch goes back to when this one is done; empty: on.
  virtual std::optional<int> goes_back(const Desk&) const { return std::nullopt; }
  // An amendment has changed what is in: the limits are to be looked at again.
  virtual void amended(Desk&) {}
  virtual void time_passed(Desk&) {}
  // A span without watching has ended: restart, suspend. The scales have new zero epochs by then,
  // and so has one scale that was lost and is back.
  virtual void unwatched(Desk&) {}
  // Food is cooked and not yet safe in its jars: a long span without watching matters.
  virtual bool food_stands(const Desk& desk) const { return desk.pan_on_heat; }
  virtual void unwatched_scale(Desk&, ScaleDesk&) {}
  virtual std::optional<std::int64_t> deadline_ms() const { return std::nullopt; }
  // It goes on for days, in which most readings tell nothing; of those of a scale on which nothing
  // happens one now and then is enough.
  virtual bool takes_days() const { return false; }
  virtual bool weighs_in(const Desk&, const ScaleDesk&) const { return false; }
  virtual bool weighs_now(const ScaleDesk&) const { return false; }
  // Says the current step again.
  virtual void say_again(Desk& desk) = 0;
  virtual bool needs(const Desk&, proto::Role) const { return false; }
  virtual void describe(const Desk&, proto::BatchStatus&) const {}

  bool done() const { return done_; }
  int index() const { return index_; }
  const proto::PlannedOperation& planned(const Desk& desk) const {
    return desk.plan.operations[static_cast<std::size_t>(index_)];
  }

 protected:
  void finish() { done_ = true; }
  void reopen() { done_ = false; }

 private:
  int index_;
  bool done_ = false;
};

// The operation of the plan at `index`.
std::unique_ptr<Operation> make_operation(const Desk& desk, int index);

}  // namespace maslin::batch
