// The evening on two lines, pan and canner, on one axis of time: for `maslin follow`. Pure.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "proto/methods.hpp"

namespace maslin::client {

// Two bars with the present moment marked, and a line for each with what is done and what comes
// next: at most `columns` wide. Empty where there is no schedule. What is over shows as '=', what
// runs as '#', what is foreseen as '-', and a '|' begins each step.
std::vector<std::string> timeline(const std::vector<proto::ScheduledSpan>& schedule,
                                  std::int64_t now_ms, std::size_t columns);
// "pan: wait, 12 min; then to the boil" for one of the lines; "" where it has nothing.
std::string line_words(const std::vector<proto::ScheduledSpan>& schedule, const std::string& line,
                       std::int64_t now_ms);
// "The canner is ready 3 min before the jars." in few words.
std::string slack_words(std::int64_t slack_ms);

}  // namespace maslin::client
