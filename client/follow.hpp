// `maslin follow`: events of the running batch as a screen, or as lines where nobody looks at a
// terminal.
#pragma once

#include <string>

#include "client/wire.hpp"

namespace maslin::client {

struct FollowOptions {
  bool plain = false;  // lines, also on a terminal
  bool json = false;   // the events as they come, one a line
  // A batch to start first, as JSON of a PlanRequest; empty: the batch that runs.
  std::string start;
};

// Until the batch ends or the user leaves; where the daemon goes or ends the connection, follow
// connects again by itself for half a minute. The exit code of the program.
int follow(Wire& wire, const FollowOptions& options);

}  // namespace maslin::client
