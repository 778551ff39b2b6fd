// The screen of `maslin follow`.
#include "client/view.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "client/big_digits.hpp"
#include "client/text.hpp"
#include "client/timeline.hpp"

namespace maslin::client {
namespace {

// "9 h", for what is days ahead and not known to the minute.
std::string hours_text(std::int64_t ms) {
  return number(static_cast<double>(std::max<std::int64_t>(ms, 0)) / 3.6e6, 0) + " h";
}

template <class T>
const T* outcome(const proto::Entry& entry) {
  const auto* body = std::get_if<proto::Outcome>(&entry.body);
  return body ? std::get_if<T>(body) : nullptr;
}

constexpr std::int64_t hour_ms = 3'600'000;

// "9:05"; from an hour on in hours and minutes, "11:50". A second that has begun counts whole, so
// that nothing is taken off before 0:00.
std::string countdown(std::int64_t ms) {
  std::int64_t seconds = (std::max<std::int64_t>(ms, 0) + 999) / 1000;
  if (ms >= hour_ms) seconds = (seconds + 59) / 60;
  char text[32];
  std::snprintf(text, sizeof text, "%lld:%02lld", static_cast<long long>(seconds / 60),
                static_cast<long long>(seconds % 60));
  return text;
}

// So long a question or a warning stays above what is said after it with less urgency.
constexpr std::int64_t fresh_ms = 8000;

bool is_end(const std::string& state) {
  return state == "complete" || state == "stopped" || state == "aborted";
}

}  // namespace

void View::take(const proto::BatchStatus& status) {
  if (status.ingredient != status_.ingredient) decimals_ = 0;
  status_ = status;
  if (status_.net_g) take_net(*status_.net_g);
  if (cue_.empty()) cue_ = status.last_cue;
}

void View::take(const proto::Entry& entry) {
  status_.at_ms = std::max(status_.at_ms, entry.stamp.at_ms);
  if (const auto* cue = outcome<proto::Cue>(entry)) {
    said_.clear();
    also_.clear();
    const bool pouring = cue->id == "slow" || cue->id == "stop";
    if (urgency_ > cue->urgency && entry.stamp.at_ms - cue_at_ms_ < fresh_ms) {
      also_ = cue->text;
    } else {
      cue_ = cue->text;
      cue_at_ms_ = entry.stamp.at_ms;
      now_ = cue->urgency == 4;
      urgency_ = pouring || cue->urgency < 3 ? 0 : cue->urgency;
    }
  } else if (const auto* state = outcome<proto::BatchState>(entry)) {
    status_.state = state->state;
  } else if (const auto* phase = outcome<proto::PhaseBegan>(entry)) {
    // The rest comes with the next whole state; what no longer holds goes now.
    urgency_ = 0;  // it was answered, or is stale
    status_.offer.clear();
    status_.phase = phase->kind;
    status_.ingredient = phase->ingredient;
    status_.verdict.clear();
    status_.by_measure.clear();
    status_.caution.clear();
    decimals_ = 0;
    status_.net_g.reset();
    status_.left_ms.reset();
    status_.aim_g = status_.lower_g = status_.upper_g = 0;
  } else if (const auto* weigh_in = outcome<proto::WeighIn>(entry)) {
    const auto grams_of = [](std::int64_t micrograms) {
      return static_cast<double>(micrograms) / 1e6;
    };
    auto& weight = status_.to_weight.emplace();
    weight.net_g = grams_of(weigh_in->net_ug);
    weight.begin_g = grams_of(weigh_in->begin_ug);
    weight.target_g = grams_of(weigh_in->target_ug);
    weight.lost_pct = 100 * (1 - weight.net_g / std::max(weight.begin_g, 1e-6));
    if (weigh_in->left_ms > 0) {
      weight.ready_ms = entry.stamp.at_ms + weigh_in->left_ms;
      weight.ready_from_ms = entry.stamp.at_ms + weigh_in->left_from_ms;
      weight.ready_to_ms = entry.stamp.at_ms + weigh_in->left_to_ms;
    }
  } else if (const auto* held = outcome<proto::Held>(entry)) {
    status_.hold = held->what;
    status_.hold_ends_when = held->ends_when;
    status_.hold_pan = held->pan;
  } else if (outcome<proto::Released>(entry) != nullptr) {
    if (!status_.hold.empty() && cue_.starts_with(status_.hold)) cue_.clear();
    status_.hold.clear();
  }
}

void View::take(const proto::Progress& progress) {
  if (!progress.ingredient.empty()) {
    // Progress is sent at once, what changes the step only when it is on disk: the aim that is
    // known may still be that of the ingredient before.
    if (progress.ingredient != status_.ingredient) {
      status_.aim_g = status_.lower_g = status_.upper_g = 0;
      status_.by_measure.clear();
      decimals_ = 0;
    }
    status_.ingredient = progress.ingredient;
    status_.net_g = static_cast<double>(progress.net_ug) / 1e6;
    take_net(*status_.net_g);
    status_.at_rest = progress.at_rest;
    status_.verdict = progress.verdict;
  }
  if (progress.temperature_mk > 0) {
    status_.pan_c = static_cast<double>(progress.temperature_mk - 273'150) / 1000.0;
  }
}

// As many decimals as the scale shows, and no more than mean something beside the amount.
void View::take_net(double net_g) {
  const int most = std::abs(net_g) >= 100 ? 1 : 2;
  for (int decimals = decimals_; decimals < most; ++decimals) {
    const double scaled = net_g * std::pow(10.0, decimals);
    if (std::abs(scaled - std::round(scaled)) < 1e-6) return;
    decimals_ = decimals + 1;
  }
}

bool View::ended() const { return is_end(status_.state); }

std::vector<ViewLine> View::screen(std::size_t columns, std::size_t rows) const {
  auto all = lines(columns, Room::large);
  if (all.size() > rows) all = lines(columns, Room::small);
  if (all.size() > rows) all = lines(columns, Room::least);
  if (all.size() > rows) all = lines(columns, Room::bare);
  if (all.size() > rows) all.resize(rows);
  return all;
}

std::vector<ViewLine> View::lines(std::size_t columns, Room room) const {
  const bool large = room == Room::large;
  std::vector<ViewLine> lines;
  const auto put = [&](const std::string& text) { lines.push_back({cut(clean(text), columns)}); };
  const auto put_wrapped = [&](const std::string& text, bool loud = false) {
    for (auto& part : wrapped(clean(text), columns, columns > 20 ? 2 : 0)) {
      lines.push_back({std::move(part), loud});
    }
  };
  const auto gap = [&] {
    if (large && !lines.back().text.empty()) lines.emplace_back();
  };
  // What must be read from the stove.
  const auto put_figure = [&](const std::string& figure) {
    const auto rows = big(figure);
    if (large && width(rows.front()) + 2 <= columns) {
      for (const auto& row : rows) put("  " + row);
    } else {
      put("  " + figure);
    }
  };

  // Where there is no room for all, the names are cut, not the state.
  std::string state = status_.state;
  if (status_.at_ms > status_.since_ms)
    state += "  " + clock_text(status_.at_ms - status_.since_ms);
  const std::string names = clean(status_.formula + "  " + status_.batch);
  const std::size_t left = columns > width(state) + 2 ? columns - width(state) - 2 : 0;
  put(left > 0 ? cut(names, left) + "  " + state : state);
  if (large && !status_.may_be_called.empty()) put(status_.may_be_called);
  gap();

  const std::string pan = (status_.pan_c ? "  pan " + celsius(*status_.pan_c) : "") +
                          (status_.canner_c ? "  canner " + celsius(*status_.canner_c) : "") +
                          (status_.room_c ? "  at its place " + celsius(*status_.room_c) : "");
  if (!status_.ingredient.empty()) {
    const double net = status_.net_g.value_or(0);
    if (!status_.by_measure.empty()) {
      // What no scale here can judge must not look as if it were to be weighed.
      put(status_.ingredient + ", by measure");
      put_wrapped("  " + status_.by_measure, true);
    } else {
      put(status_.ingredient + (status_.aim_g > 0 ? ", aim " + grams(status_.aim_g) : ""));
      put_figure(status_.net_g ? fixed(net, decimals_) : "-");
    }
    if (status_.by_measure.empty() && status_.upper_g > 0) {
      if (status_.net_g) {
        put("  " + band_bar(net, status_.lower_g, status_.upper_g,
                            std::min<std::size_t>(columns > 4 ? columns - 4 : 0, 60)));
      }
      put("  band " + number(status_.lower_g, 2) + " to " + grams(status_.upper_g) +
          (!status_.net_g ? ""
           : status_.verdict == "undecided"
               ? ", undecided: too near for this scale"
               : ", " + band_word(net, status_.lower_g, status_.upper_g)) +
          (status_.net_g && !status_.at_rest ? ", moving" : ""));
    }
    if (!pan.empty()) put(pan);
  } else if (status_.left_ms) {
    put(*status_.left_ms >= hour_ms ? "to go, hours and minutes" : "to go, minutes and seconds");
    put_figure(countdown(*status_.left_ms));
    if (!pan.empty()) put(pan);
    if (!status_.ready_on.empty()) put("  until about " + status_.ready_on);
    if (status_.inside_ms && status_.outside_ms && status_.unmeasured_ms) {
      put("  inside " + span_text(*status_.inside_ms) + ", outside " +
          span_text(*status_.outside_ms) + ", not measured " + span_text(*status_.unmeasured_ms));
    }
  } else if (status_.to_weight && status_.phase == "dry") {
    const auto& weight = *status_.to_weight;
    put("drying, dry at " + grams(weight.target_g));
    put_figure(number(weight.net_g, 0));
    put("  " + number(weight.lost_pct, 0) + " % lost" +
        (weight.ready_from_ms && weight.ready_to_ms
             ? ", ready in " + hours_text(*weight.ready_from_ms - status_.at_ms) + " to " +
                   hours_text(*weight.ready_to_ms - status_.at_ms)
             : ""));
  } else if (status_.canner_c && (status_.phase == "water bath" || !status_.pan_c)) {
    put("canner, °C");
    put_figure(fixed(*status_.canner_c, 1));
  } else if (status_.pan_c) {
    put("pan, °C");
    put_figure(fixed(*status_.pan_c, 1));
    if (status_.canner_c) put("  canner " + celsius(*status_.canner_c));
  }
  gap();

  const std::int64_t since_start_ms = status_.at_ms - status_.since_ms;
  if (room == Room::least || room == Room::bare) {
    for (const char* line : {"pan", "canner"}) {
      const auto words = line_words(status_.schedule, line, since_start_ms);
      if (!words.empty()) put(words);
    }
  } else {
    for (const auto& line : timeline(status_.schedule, since_start_ms, columns)) put(line);
    if (status_.slack_ms && large) put(slack_words(*status_.slack_ms));
  }
  gap();

  if (!status_.hold.empty()) {
    put_wrapped("HELD: " + status_.hold, true);
    if (!status_.hold_ends_when.empty()) put_wrapped("  " + status_.hold_ends_when);
    if (!status_.hold_pan.empty()) put_wrapped("  The pan now: " + status_.hold_pan);
    gap();
  }
  // What a hold says stands above already.
  const bool said_above = !status_.hold.empty() && cue_.starts_with(status_.hold);
  if (!cue_.empty() && !said_above) {
    const std::string when =
        cue_at_ms_ >= 0 ? clock_text(cue_at_ms_ - status_.since_ms) + "  " : std::string();
    put_wrapped(when + (now_ ? "NOW: " : "") + cue_, now_);
  }
  if (!also_.empty()) put_wrapped(also_);
  if (room != Room::bare && !status_.caution.empty()) {
    put_wrapped("Caution: " + status_.caution);
  }
  if (room != Room::least && room != Room::bare && !status_.next.empty())
    put_wrapped("Next: " + status_.next);
  if (!said_.empty()) put_wrapped(said_);
  gap();
  put(ended() ? "The batch is " + status_.state + ". Report: maslin report " + status_.batch
      : !status_.offer.empty()
          ? (columns < 56 ? "Enter: take it  n: another way  q: leave"
                          : "Enter: take what is offered   n: another way   q: leave")
      : columns < 56 ? "Enter: ok  h: hold/resume  q: leave"
                     : "Enter: ok   h: hold or resume   q: leave (the batch goes on)");
  return lines;
}

std::optional<std::string> event_line(const proto::Entry& entry, std::int64_t since_ms) {
  std::string text;
  if (const auto* cue = outcome<proto::Cue>(entry)) {
    text = (cue->urgency == 4 ? "NOW " : "") + cue->text;
  } else if (const auto* verdict = outcome<proto::Verdict>(entry)) {
    if (verdict->rule == "by measure") return std::nullopt;  // the cue says it
    text = verdict->ingredient + " " + verdict->verdict + ": " + grams_of_ug(verdict->net_ug) +
           ", band " + number(static_cast<double>(verdict->lower_ug) / 1e6, 2) + " to " +
           grams_of_ug(verdict->upper_ug);
  } else if (const auto* state = outcome<proto::BatchState>(entry)) {
    text = "batch " + state->state;
  } else if (const auto* deviation = outcome<proto::Deviation>(entry)) {
    text = deviation->about + ": " + deviation->what + "; " + deviation->done;
  } else if (const auto* condition = outcome<proto::Condition>(entry)) {
    text = condition->what + ", " + condition->evidence +
           (condition->temperature_mk > 0
                ? ", " + celsius(static_cast<double>(condition->temperature_mk - 273'150) / 1000.0)
                : "");
  } else if (const auto* note = outcome<proto::Noted>(entry)) {
    text = "note: " + note->text;
  } else {
    return std::nullopt;
  }
  return clock_text(entry.stamp.at_ms - since_ms) + "  " + clean(text);
}

bool sounds(const proto::Entry& entry) {
  const auto* cue = outcome<proto::Cue>(entry);
  return cue != nullptr && cue->urgency == 4;
}

std::string band_bar(double net, double lower, double upper, std::size_t columns) {
  if (columns < 10 || !(upper > 0) || !std::isfinite(net)) return "";
  // The band ends at five sixths: room to see how far over an amount is.
  const double full = upper * 1.2;
  const auto place = [&](double value) {
    const double at = std::clamp(value / full, 0.0, 1.0) * static_cast<double>(columns - 2);
    return static_cast<std::size_t>(at);
  };
  const std::size_t from = place(lower);
  const std::size_t to = std::max(place(upper), from + 1);
  // On the right side of each end of the band, however little is missing or too much.
  std::size_t filled = place(net);
  if (net > upper) {
    filled = std::max(filled, to + 1);
  } else if (net >= lower) {
    filled = std::clamp(filled, from + 1, to);
  } else {
    filled = std::min(filled, from);
  }
  std::string bar = "[";
  for (std::size_t i = 0; i < columns - 2; ++i) {
    const bool in_band = i >= from && i < to;
    if (i < filled) {
      bar += in_band ? "█" : i < from ? "▓" : "!";
    } else {
      bar += in_band ? "░" : "·";
    }
  }
  return bar + "]";
}

std::string band_word(double net, double lower, double upper) {
  if (net > upper) return "over by " + grams(net - upper);
  return net < lower ? "under" : "within";
}

}  // namespace maslin::client
