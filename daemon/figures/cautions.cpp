// `figure cautions`: all that the tool warns of, each at its step and with its class.
#include "daemon/preserving/cautions.hpp"
#include "daemon/figures/kinds.hpp"

namespace maslin::figures {

proto::Results<Figure> cautions(Asked&) {
  Figure figure;
  std::vector<Record> all;
  for (const auto& one : preserving::caution_catalogue()) {
    all.push_back({{"at", std::string(one.at)},
                   {"text", std::string(one.text)},
                   {"evidence", std::string(one.evidence)}});
    figure.lines.push_back(std::string(one.at) + ": " + std::string(one.text) + " (" +
                           std::string(one.evidence) + ")");
  }
  figure.value = std::to_string(all.size()) + " cautions, each said once a batch at its step";
  figure.fields = {{"cautions", std::move(all)}};
  figure.accuracy = "what is from memory or common practice only warns, asks or tightens";
  figure.range =
      "those that concern a formula stand in its plan; a tested recipe, local rules and a "
      "process authority come first";
  figure.source = "USDA Complete Guide to Home Canning (AIB 539) where it says published";
  return figure;
}

}  // namespace maslin::figures
