// The commands about jars (how many were filled, which sealed, where each one is), and amend, whose
// answer is what to do with them.
#pragma once

#include "client/commands.hpp"
#include "client/wire.hpp"

namespace maslin::client {

int say_yield(Wire& wire, const Order& order);
int say_filled(Wire& wire, const Order& order);
int say_seals(Wire& wire, const Order& order);
int say_where(Wire& wire, const Order& order);
int list_jars(Wire& wire, const Order& order);
int amend(Wire& wire, const Order& order);

}  // namespace maslin::client
