// Report descriptors of invented scales, one per way of laying the same facts out; shared by the
// unit, reference and system tests of hid-scale.
#pragma once

#include <cstdint>
#include <string_view>
#include <vector>

namespace maslin::hid::testing {

using Bytes = std::vector<std::uint8_t>;

// Pairs of hex digits; spaces and line ends between them, "//" to the end of the line is a remark.
inline Bytes bytes(std::string_view text) {
  Bytes all;
  int high = -1;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (c == '/') {
      i = text.find('\n', i);
      if (i == text.npos) break;
      continue;
    }
    const int digit = c >= '0' && c <= '9'   ? c - '0'
                      : c >= 'A' && c <= 'F' ? c - 'A' + 10
                      : c >= 'a' && c <= 'f' ? c - 'a' + 10
                                             : -1;
    if (digit < 0) continue;
    if (high < 0) {
      high = digit;
    } else {
      all.push_back(static_cast<std::uint8_t>(high * 16 + digit));
      high = -1;
    }
  }
  return all;
}

// Report 3: status, unit, scaling, weight as in the table of examples; features 4 (attributes) and
// 5 (weight limit).
inline Bytes usual() {
  return bytes(R"(
    05 8D         // Usage Page (weighing devices)
    09 20         // Usage (scale device)
    A1 01         // Collection (application)
    85 04         //   Report Id 4
    09 30 A1 02   //   Collection (scale attributes)
    09 26 15 01 25 01 75 08 95 01 B1 00                     // feature: class, an array
    09 50 A1 02 19 51 29 5C 15 01 25 0C B1 00 C0            // feature: unit
    09 41 15 81 25 7F B1 02                                 // feature: scaling
    C0
    85 05         //   Report Id 5
    09 34 A1 02   //   Collection (weight limit)
    09 50 A1 02 19 51 29 5C 15 01 25 0C B1 00 C0            // feature: unit
    09 41 15 81 25 7F B1 02                                 // feature: scaling
    09 40 15 00 27 FF FF 00 00 75 10 B1 02                  // feature: weight
    C0
    85 03         //   Report Id 3
    09 32 A1 02   //   Collection (scale data)
    75 08 95 01
    09 70 A1 02   //     status: eight usages by name
    09 71 09 72 09 73 09 74 09 75 09 76 09 77 09 78 15 01 25 08 81 00 C0
    09 50 A1 02   //     unit: twelve usages by name
    09 51 09 52 09 53 09 54 09 55 09 56 09 57 09 58 09 59 09 5A 09 5B 09 5C 15 01 25 0C 81 00 C0
    09 41 15 81 25 7F 81 02                                 // scaling, signed byte
    09 40 15 00 27 FF FF 00 00 75 10 81 02                  // weight, 16 bits without sign
    C0 C0)");
}

// Report 7 in another order: weight, scaling, unit, status; ranges, push and pop, usages that bring
// their page along.
inline Bytes other_order() {
  return bytes(R"(
    05 8D 09 01 A1 01
    85 07
    A4 05 01 15 00 26 FF 00 75 08 95 01 B4                  // pushed, changed, popped again
    15 00 26 FF FF 75 10 95 01 09 40 81 02                  // weight, 16 bits
    15 81 25 7F 75 08 09 41 81 02                           // scaling
    05 01                                                   // another page in force
    0B 50 00 8D 00 A1 02
    1B 51 00 8D 00 2B 5C 00 8D 00 15 01 25 0C 81 00 C0      // unit: a range with its page
    05 8D 19 71 29 78 15 01 25 08 81 00                     // status
    C0)");
}

// No report id; a weight of 32 bits with a sign; logical minimum 0, so that value n is usage n + 1.
inline Bytes without_id() {
  return bytes(R"(
    05 8D 09 20 A1 01
    19 71 29 78 15 00 25 07 75 08 95 01 81 00               // status from 0
    19 51 29 5C 15 00 25 0B 81 00                           // unit from 0
    09 41 15 81 25 7F 81 02                                 // scaling
    09 40 17 01 00 00 80 27 FF FF FF 7F 75 20 81 02         // weight
    C0)");
}

// Everything in nibbles, and a weight of 24 bits behind them: status, unit, scaling, padding.
inline Bytes nibbles() {
  return bytes(R"(
    05 8D 09 20 A1 01 85 01
    75 04 95 01
    19 71 29 78 15 01 25 08 81 00
    19 51 29 5C 15 01 25 0C 81 00
    09 41 15 F8 25 07 81 02
    15 00 25 00 81 03                                       // padding
    09 40 15 00 27 FF FF FF 00 75 18 81 02
    C0)");
}

// A keyboard's collection first (report 1), then a scale (report 2); status as eight flags; the
// scaling a nibble in a whole byte; a report 9 that tells the status alone.
inline Bytes composite() {
  return bytes(R"(
    05 01 09 06 A1 01 85 01
    05 07 19 E0 29 E7 15 00 25 01 75 01 95 08 81 02
    19 00 29 65 15 00 25 65 75 08 95 06 81 00
    C0
    05 8D 09 01 A1 01
    85 02
    19 71 29 78 15 00 25 01 75 01 95 08 81 02               // status, eight flags
    19 51 29 5C 15 01 25 0C 75 08 95 01 81 00               // unit
    09 41 15 00 25 0F 81 02                                 // scaling, a nibble in a byte
    09 40 15 00 26 FF FF 75 10 81 02                        // weight
    85 09
    09 33 A1 02 19 71 29 78 15 01 25 08 75 08 81 00 C0      // scale status report
    C0)");
}

}  // namespace maslin::hid::testing
