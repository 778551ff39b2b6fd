// A reading as a row: the order of its columns, for the writer and the reader alike.
#pragma once

#include <string_view>

#include "daemon/store/database.hpp"
#include "proto/reading.hpp"

namespace maslin::store {

inline constexpr std::string_view kSelectReadings =
    "SELECT number, at_ms, digits, device, state, exponent, unit, quantity FROM reading ";
inline constexpr std::string_view kInsertReading =
    "INSERT INTO reading (batch, number, at_ms, digits, device, state, exponent, unit, quantity) "
    "VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)";

inline proto::Reading reading_row(const Statement& row) {
  proto::Reading reading;
  reading.number = static_cast<std::uint64_t>(row.integer(0));
  reading.at_ms = row.integer(1);
  reading.digits = row.integer(2);
  reading.device = static_cast<std::uint16_t>(row.integer(3));
  reading.state = static_cast<std::uint16_t>(row.integer(4));
  reading.exponent = static_cast<std::int8_t>(row.integer(5));
  reading.unit = static_cast<proto::Unit>(row.integer(6));
  reading.quantity = static_cast<proto::Quantity>(row.integer(7));
  return reading;
}

inline void bind_reading(Statement& insert, std::int64_t batch, const proto::Reading& reading) {
  insert.bind(1, batch)
      .bind(2, static_cast<std::int64_t>(reading.number))
      .bind(3, reading.at_ms)
      .bind(4, reading.digits)
      .bind(5, std::int64_t{reading.device})
      .bind(6, std::int64_t{reading.state})
      .bind(7, std::int64_t{reading.exponent})
      .bind(8, static_cast<std::int64_t>(reading.unit))
      .bind(9, static_cast<std::int64_t>(reading.quantity));
}

}  // namespace maslin::store
