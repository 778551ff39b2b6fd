#include "plugins/trace/trace.hpp"

#include <algorithm>
#include <array>
#include <map>
#include <optional>
#include <utility>

namespace maslin::trace {
namespace {

constexpr std::string_view header = "time_s,device,quantity,value,unit,status";
constexpr std::size_t most_faults = 20;
constexpr std::int64_t longest_s = 1'000'000;  // eleven days: no kitchen runs longer

template <class Code>
using Named = std::pair<std::string_view, Code>;

constexpr std::array quantities = {Named<std::uint8_t>{"mass", MASLIN_MASS},
                                   Named<std::uint8_t>{"temperature", MASLIN_TEMPERATURE},
                                   Named<std::uint8_t>{"pressure", MASLIN_PRESSURE},
                                   Named<std::uint8_t>{"press", MASLIN_PRESS}};
struct UnitRow {
  std::string_view name;
  std::uint16_t unit;
  std::uint8_t quantity;
};
constexpr std::array units = {UnitRow{"mg", MASLIN_MG, MASLIN_MASS},
                              UnitRow{"g", MASLIN_G, MASLIN_MASS},
                              UnitRow{"kg", MASLIN_KG, MASLIN_MASS},
                              UnitRow{"oz", MASLIN_OZ, MASLIN_MASS},
                              UnitRow{"lb", MASLIN_LB, MASLIN_MASS},
                              UnitRow{"degC", MASLIN_CELSIUS, MASLIN_TEMPERATURE},
                              UnitRow{"degF", MASLIN_FAHRENHEIT, MASLIN_TEMPERATURE},
                              UnitRow{"K", MASLIN_KELVIN, MASLIN_TEMPERATURE},
                              UnitRow{"Pa", MASLIN_PASCAL, MASLIN_PRESSURE},
                              UnitRow{"hPa", MASLIN_HECTOPASCAL, MASLIN_PRESSURE},
                              UnitRow{"count", MASLIN_COUNT, MASLIN_PRESS},
                              UnitRow{"", MASLIN_COUNT, MASLIN_PRESS}};
constexpr std::array statuses = {Named<std::uint16_t>{"", 0},
                                 Named<std::uint16_t>{"steady", MASLIN_STEADY},
                                 Named<std::uint16_t>{"moving", MASLIN_MOVING},
                                 Named<std::uint16_t>{"zero", MASLIN_ZERO | MASLIN_STEADY},
                                 Named<std::uint16_t>{"over", MASLIN_OVER},
                                 Named<std::uint16_t>{"under", MASLIN_UNDER},
                                 Named<std::uint16_t>{"fault", MASLIN_FAULT}};

// Part of a line that knows where it stands.
struct Piece {
  std::string_view text;
  std::size_t column = 1;
};

Piece trimmed(Piece piece) {
  const auto first = piece.text.find_first_not_of(" \t\r");
  if (first == std::string_view::npos) return {{}, piece.column};
  const auto last = piece.text.find_last_not_of(" \t\r");
  return {piece.text.substr(first, last - first + 1), piece.column + first};
}

// Every piece between separators, trimmed.
std::vector<Piece> split(Piece whole, char separator) {
  std::vector<Piece> pieces;
  for (std::size_t from = 0; from <= whole.text.size();) {
    const auto to = std::min(whole.text.find(separator, from), whole.text.size());
    pieces.push_back(trimmed({whole.text.substr(from, to - from), whole.column + from}));
    from = to + 1;
  }
  return pieces;
}

template <class List>
std::optional<typename List::value_type::second_type> find(const List& list,
                                                           std::string_view name) {
  for (const auto& [text, code] : list) {
    if (text == name) return code;
  }
  return std::nullopt;
}

template <class List>
std::string names(const List& list) {
  std::string all;
  for (const auto& row : list) {
    const std::string_view name = std::get<0>(row);
    if (!name.empty()) all += (all.empty() ? "" : ", ") + std::string(name);
  }
  return all;
}

std::string unit_names(std::uint8_t quantity) {
  std::string all;
  for (const auto& row : units) {
    if (row.quantity != quantity || row.name.empty()) continue;
    all += (all.empty() ? "" : ", ") + std::string(row.name);
  }
  return all;
}

// "0.1g": a number with its unit right behind it.
struct Amount {
  sdk::Decimal value;
  std::string_view unit;
};
std::optional<Amount> parse_amount(std::string_view text) {
  const auto end = text.find_first_not_of("+-.0123456789");
  const auto value = sdk::parse_decimal(text.substr(0, end));
  if (!value || end == std::string_view::npos) return std::nullopt;
  return Amount{*value, trimmed({text.substr(end)}).text};
}

// Seconds in nanoseconds; empty where there are more than nine decimals or it is out of range.
std::optional<std::int64_t> nanoseconds(const sdk::Decimal& seconds) {
  if (seconds.digits < 0 || seconds.exponent < -9 || seconds.digits > longest_s * 1'000'000'000) {
    return std::nullopt;
  }
  auto ns = seconds.digits;
  for (int i = seconds.exponent + 9; i > 0; --i) {
    ns *= 10;
    if (ns > longest_s * 1'000'000'000) return std::nullopt;
  }
  return ns;
}

class Reader {
 public:
  Trace read(std::string_view text) {
    if (text.starts_with("\xEF\xBB\xBF")) text.remove_prefix(3);
    for (std::size_t from = 0; from < text.size() && trace_.faults.size() < most_faults;) {
      const auto to = std::min(text.find('\n', from), text.size());
      ++line_;
      take_line(trimmed({text.substr(from, to - from)}));
      from = to + 1;
    }
    if (!header_seen_ && trace_.faults.empty()) {
      fault({}, "no header line", "begin the rows with: " + std::string(header));
    }
    for (const auto& device : trace_.devices) {
      if (device.quantity != 0 || !trace_.faults.empty()) continue;
      fault({}, "device '" + device.name + "' has no rows", "add rows or delete its line");
    }
    std::ranges::stable_sort(trace_.readings, {}, &TraceReading::at_ns);
    return std::move(trace_);
  }

 private:
  void fault(const Piece& where, std::string what, std::string todo) {
    trace_.faults.push_back(
        {std::max<std::size_t>(line_, 1), where.column, std::move(what), std::move(todo)});
  }

  void take_line(const Piece& line) {
    if (line.text.empty()) return;
    if (line.text.front() == '#') {
      take_comment(line);
    } else if (!header_seen_) {
      take_header(line);
    } else {
      take_row(line);
    }
  }

  void take_header(const Piece& line) {
    header_seen_ = true;
    std::string found;
    for (const auto& piece : split(line, ','))
      found += (found.empty() ? "" : ",") + std::string(piece.text);
    if (found != header) {
      fault(line, "not the header of a trace", "write: " + std::string(header));
    }
  }

  // # device NAME interval=1g capacity=5000g period=0.1s; any other comment is passed over.
  void take_comment(const Piece& line) {
    std::vector<Piece> words;
    for (const auto& word : split({line.text.substr(1), line.column + 1}, ' ')) {
      if (!word.text.empty()) words.push_back(word);
    }
    if (words.empty() || words[0].text != "device") return;
    if (words.size() < 2) {
      fault(line, "a device without a name", "write: # device NAME interval=1g capacity=5000g");
      return;
    }
    auto& device = trace_.devices[device_index(words[1].text)];
    for (std::size_t i = 2; i < words.size(); ++i) take_property(device, words[i]);
  }

  void take_property(TraceDevice& device, const Piece& word) {
    const auto equals = word.text.find('=');
    const auto key = word.text.substr(0, equals);
    if (equals == std::string_view::npos ||
        (key != "interval" && key != "capacity" && key != "period")) {
      fault(word, "unknown property '" + std::string(key) + "'",
            "write interval=1g, capacity=5000g or period=0.1s");
      return;
    }
    const Piece value{word.text.substr(equals + 1), word.column + equals + 1};
    const auto amount = parse_amount(value.text);
    if (!amount || amount->value.digits <= 0) {
      fault(value, "'" + std::string(value.text) + "' is no amount above zero",
            "write a number and its unit, as in " + std::string(key == "period" ? "0.1s" : "1g"));
      return;
    }
    if (key == "period") {
      const auto ns = nanoseconds(amount->value);
      if (amount->unit != "s" || !ns) fault(value, "a period is in seconds", "write period=0.1s");
      device.period_ns = ns.value_or(0);
      return;
    }
    const auto row = std::ranges::find(units, amount->unit, &UnitRow::name);
    if (row == units.end()) {
      fault(value, "unknown unit '" + std::string(amount->unit) + "'",
            "write one of " + unit_names(MASLIN_MASS));
    } else if (device.unit != MASLIN_NO_UNIT && device.unit != row->unit) {
      fault(value, "interval and capacity have different units", "write both in one unit");
    } else {
      device.unit = row->unit;
      (key == "interval" ? device.interval : device.capacity) = amount->value;
    }
  }

  void take_row(const Piece& line) {
    const auto fields = split(line, ',');
    if (fields.size() != 6) {
      fault(line, std::to_string(fields.size()) + " fields in a row of 6",
            "write: " + std::string(header));
      return;
    }
    const auto before = trace_.faults.size();
    TraceReading out;
    out.at_ns = take_time(fields[0]);
    if (fields[1].text.empty()) fault(fields[1], "no device", "write the name of the device");
    const auto quantity = find(quantities, fields[2].text);
    if (!quantity) {
      fault(fields[2], "unknown quantity '" + std::string(fields[2].text) + "'",
            "write one of " + names(quantities));
    }
    const auto status = find(statuses, fields[5].text);
    if (!status) {
      fault(fields[5], "unknown status '" + std::string(fields[5].text) + "'",
            "write one of " + names(statuses) + ", or nothing");
    }
    if (trace_.faults.size() > before) return;

    const auto unit = std::ranges::find_if(units, [&](const UnitRow& row) {
      return row.name == fields[4].text && row.quantity == *quantity;
    });
    if (unit == units.end()) {
      fault(fields[4],
            "'" + std::string(fields[4].text) + "' is no unit of " + std::string(fields[2].text),
            "write one of " + unit_names(*quantity));
    }
    const bool has_value = (*status & (MASLIN_OVER | MASLIN_UNDER | MASLIN_FAULT)) == 0;
    const auto value = sdk::parse_decimal(fields[3].text);
    if (!value && (has_value || !fields[3].text.empty())) {
      fault(fields[3], "'" + std::string(fields[3].text) + "' is no decimal number",
            "write digits as in 12.50, or nothing with the status over, under or fault");
    }
    out.device = device_index(fields[1].text);
    auto& device = trace_.devices[out.device];
    if (device.quantity != 0 && device.quantity != *quantity) {
      fault(fields[2], "device '" + device.name + "' had another quantity before",
            "give each quantity a device of its own");
    }
    // The line of the device came first: an interval in degrees is none of a scale.
    const auto own = std::ranges::find(units, device.unit, &UnitRow::unit);
    if (device.quantity == 0 && own != units.end() && own->quantity != *quantity) {
      fault(fields[2],
            "interval or capacity in '" + std::string(own->name) + "', which is no unit of " +
                std::string(fields[2].text),
            "write one of " + unit_names(*quantity) + " in the line of the device");
    }
    const auto last = last_ns_.try_emplace(out.device, out.at_ns).first;
    if (out.at_ns < last->second) {
      fault(fields[0], "time goes back for device '" + device.name + "'", "sort its rows by time");
    }
    last->second = out.at_ns;
    if (trace_.faults.size() > before) return;
    device.quantity = *quantity;
    if (device.unit == MASLIN_NO_UNIT) device.unit = unit->unit;
    out.reading = sdk::reading(*quantity, unit->unit, value.value_or(sdk::Decimal{}), *status);
    trace_.readings.push_back(out);
  }

  std::int64_t take_time(const Piece& field) {
    const auto seconds = sdk::parse_decimal(field.text);
    const auto ns = seconds ? nanoseconds(*seconds) : std::nullopt;
    if (!ns) {
      fault(field, "'" + std::string(field.text) + "' is no time",
            "write seconds since the start, 0 to " + std::to_string(longest_s) +
                ", with at most nine decimals");
    }
    return ns.value_or(0);
  }

  std::size_t device_index(std::string_view name) {
    const auto found = std::ranges::find(trace_.devices, name, &TraceDevice::name);
    if (found != trace_.devices.end()) {
      return static_cast<std::size_t>(found - trace_.devices.begin());
    }
    trace_.devices.emplace_back().name = name;
    return trace_.devices.size() - 1;
  }

  Trace trace_;
  std::size_t line_ = 0;
  bool header_seen_ = false;
  std::map<std::size_t, std::int64_t> last_ns_;
};

}  // namespace

Trace read(std::string_view text) { return Reader().read(text); }

std::string line(const std::string& file, const Fault& fault) {
  return file + ":" + std::to_string(fault.line) + ":" + std::to_string(fault.column) + ": " +
         fault.what + "; " + fault.todo;
}

}  // namespace maslin::trace
