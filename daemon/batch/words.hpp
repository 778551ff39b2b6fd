// What the cook is told: short sentences, amounts as the cook thinks of them first and what the
// scale shows beside them, or the other way round (Plan::units). The operations say nothing in
// words of their own.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "proto/entry.hpp"
#include "proto/plan.hpp"
#include "proto/trouble.hpp"

namespace maslin::batch {

class Desk;

// Grams as the scale of `interval_ug` shows them, "239 g".
std::string amount(std::int64_t micrograms, std::int64_t interval_ug);
// So much of an ingredient, and what it is said of: "1 tbsp more sugar, 13 g" or "13 g more sugar
// (1 tbsp)"; grams alone where nobody knows what a cup of it weighs. `what`: "more sugar".
std::string amount_of(const proto::Plan& plan, const proto::PlannedIngredient& ingredient,
                      std::int64_t micrograms, std::int64_t interval_ug, const std::string& what);
// "1 cup cider vinegar: 239 g" or "239 g cider vinegar (1 cup)"
std::string ingredient_line(const proto::Plan& plan, const proto::PlannedIngredient& ingredient,
                            std::int64_t interval_ug);
// "about 2 cups, chopped, 320 g" or "about 320 g (2 cups, chopped)"
std::string about_so_much(const proto::Plan& plan, const proto::PlannedIngredient& ingredient,
                          std::int64_t interval_ug);
// Of the scale that weighs it: its own, else the bench scale; 0 where there is none.
std::int64_t interval_for(const Desk& desk, const proto::PlannedIngredient& ingredient);
// "onion 2 cups (320 g), ..." or "onion 320 g, ..." of all that goes in, each as its own scale
// shows it.
std::string plan_line(const Desk& desk);
std::string capitalised(std::string text);
// Why a note or a reason is refused, or empty: it is a remark, not a file.
std::optional<proto::Trouble> too_long(const std::string& text);
// Why jars that stand and cool are not touched for so long yet.
proto::Trouble untouched(std::int64_t left_ms);
// What to do with the pan in a hold, and how long that is good for; "" where nothing is said of it.
std::string pan_words(const proto::Held& held);

}  // namespace maslin::batch
