// The screens: each a pure function from a fact of proto/ to lines for people, every line cleaned
// and with its line end. commands.cpp prints what they give.
#pragma once

#include <string>

#include "proto/methods.hpp"
#include "proto/plan.hpp"
#include "proto/report.hpp"
#include "proto/rpc.hpp"

namespace maslin::client {

std::string show(const proto::Plan& plan);
std::string show(const proto::Why& why);
std::string show(const proto::Report& report);
std::string show(const proto::SafetyRecord& record);
std::string show(const proto::DeviceList& list);
std::string show(const proto::DeviceState& device);  // after assign
std::string show(const proto::CalibrationStatus& status);
std::string show(const proto::BatchStatus& status);
std::string show_notes(const proto::BatchStatus& status);  // of the plan, when a batch begins
std::string show(const proto::BatchList& list);
std::string show(const proto::Review& review);
std::string show(const proto::JarList& list);
std::string show(const proto::Settings& settings);
std::string show(const proto::Facts& facts);  // facts.cpp
std::string show(const proto::FormulaChecked& checked, const std::string& file);
std::string show(const proto::Verified& verified);
std::string show(const proto::Troubles& troubles);
std::string show_cues();  // the catalogue, the urgent ones first
// Why something was not done: in words, or as the error object of JSON-RPC on one line.
std::string show(const proto::RpcFault& fault, bool json);

}  // namespace maslin::client
