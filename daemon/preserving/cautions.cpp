// The cautions themselves; see the header. Published ones follow the USDA Complete Guide to Home
// Canning (AIB 539) in our own words; the class of each says how sure we are of it.
#include "daemon/preserving/cautions.hpp"

#include <array>
#include <cassert>

namespace maslin::preserving {
namespace {

constexpr std::string_view kPublished = "published";
constexpr std::string_view kFromMemory = "published, from memory";
constexpr std::string_view kCommon = "common practice";

constexpr std::array<CautionEntry, 32> kCatalogue{{
    {"own formula", "plan",
     "This formula cites no tested source: keep the batch in the refrigerator or freezer, not on a "
     "shelf.",
     kCommon},
    {"defer", "plan",
     "Where this and a tested recipe, local rules or a process authority differ, they are right.",
     kCommon},
    {"vinegar", "plan", "Use vinegar whose label says 5 % acidity or more.", kPublished},
    {"bottled juice", "plan",
     "Use bottled lemon or lime juice, not fresh: the acidity of fresh juice varies.", kFromMemory},
    {"proportions", "plan",
     "Never use less of the acid (vinegar, lemon juice) or more vegetable than the formula says, "
     "and never water in its place.",
     kFromMemory},
    {"no doubling", "plan", "Do not cook a double batch of jelly: cook a second pot.", kPublished},
    {"altitude", "plan", "The altitude of the kitchen decides how long jars stay in the bath.",
     kPublished},
    {"low-acid", "plan",
     "Peppers and other vegetables in plain water are for the pressure canner only.", kPublished},
    {"for sale", "plan",
     "Before any of it is sold: ask a process authority and follow the local rules.", kPublished},
    {"metals", "plan",
     "Keep vinegar, lemon juice and what is made with them away from bare copper, brass, aluminium "
     "and iron.",
     kCommon},
    {"hot peppers", "cutting",
     "Wear gloves and keep your hands from eyes and face; afterwards wash hands, board, knife, tap "
     "and scale with soap.",
     kPublished},
    {"steam", "first boil", "Open a window, lean back and send children out: this steam stings.",
     kCommon},
    {"syrup", "second boil",
     "Fill the pan a quarter at most; hot syrup sticks and burns deeper than water.", kCommon},
    {"hot pan", "heat", "Keep handles turned in and children away; what boils can climb and spit.",
     kCommon},
    {"cold scale", "weighing", "Put nothing hot on the scale.", kCommon},
    {"jars first", "jars",
     "Under ten minutes in the bath: boil the empty jars beforehand. New lids, rims without nicks.",
     kPublished},
    {"filling", "filling",
     "Hot food into hot jars, headspace kept, rims wiped, bands finger-tight.", kPublished},
    {"freezing", "filling",
     "Leave room at the top, it grows as it freezes; use jars or boxes made for the freezer.",
     kFromMemory},
    {"upright", "filling", "A jar turned over to seal it is not sealed.", kFromMemory},
    {"bath", "bath",
     "Water an inch over the lids; the time counts from the hard boil and starts anew if the boil "
     "is lost.",
     kFromMemory},
    {"bath end", "bath end",
     "Tilt the lid away from your face, then let the jars stand five minutes.", kPublished},
    {"cooling", "cooling", "Leave the jars alone for 12 to 24 hours and the bands as they are.",
     kPublished},
    {"seal", "seal",
     "A jar that did not seal: within 24 hours a new lid and the full time again, or freeze it, or "
     "refrigerate it.",
     kPublished},
    {"keeping cold", "storing",
     "Into the refrigerator as soon as it is cool; use it within the time you would give any open "
     "jar.",
     kCommon},
    {"keeping frozen", "storing",
     "Into the freezer once it is cool; thaw it in the refrigerator, then use it like any open "
     "jar.",
     kCommon},
    {"shelf", "shelf",
     "Best within a year. Bulging, leaking, spurting or mould: do not taste it. Once open, "
     "refrigerate.",
     kFromMemory},
    {"drying", "drying",
     "Thin even slices, dried as warm as a tested recipe says: what dries slowly or unevenly "
     "moulds "
     "or sours.",
     kCommon},
    {"meat in a drier", "drying",
     "Meat for a hot drier is heated to 71 °C (160 °F) all through before it dries.", kFromMemory},
    {"conditioning", "conditioning",
     "Drops on the glass: dry it again. Mould anywhere in the jar: discard all of it.", kCommon},
    {"cold chain", "standing",
     "Keep it cold all the time, in a covered dish at the bottom: what was warm for too long is "
     "discarded.",
     kFromMemory},
    {"under brine", "standing",
     "Keep all of it under the brine. Mould, slime, soft pieces or a bad smell: discard it.",
     kCommon},
    {"cure", "cure",
     "Curing salt goes on a fine scale and is no table salt; meat that was not kept cold is "
     "discarded.",
     "from memory"},
}};

}  // namespace

std::span<const CautionEntry> caution_catalogue() { return kCatalogue; }

const CautionEntry& caution(std::string_view id) {
  for (const CautionEntry& entry : kCatalogue) {
    if (entry.id == id) return entry;
  }
  assert(false && "a caution that is not in the catalogue");
  return kCatalogue.front();
}

}  // namespace maslin::preserving
