// Why an ingredient was judged as it was: its uncertainty line by line, the rule of its verdict
// with what that may cost, and what happened to it. `maslin why` shows it; session/ asks in its
// reader thread.
#pragma once

#include <span>
#include <string>
#include <string_view>

#include "proto/entry.hpp"
#include "proto/report.hpp"
#include "proto/trouble.hpp"

namespace maslin::review {

// `ingredient` is its name, or an unmistakable part of it. Troubles: the batch has no such
// ingredient; it has no start entry.
proto::Result<proto::Why> why(std::span<const proto::Entry> entries, std::string_view ingredient);

}  // namespace maslin::review
