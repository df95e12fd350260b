// The one list of metrics: name, type, unit, labels, help. The pages, the documentation and the tests read
// it.
//
// Service metrics count what the program does; result metrics show what runs marked as an event build found.
// Names carry base units (m, s, Pa, degC, ratio of 1), counters end in _total, labels are bounded.
#pragma once

#include <span>
#include <string_view>
#include <vector>

namespace brakeward::metrics {

enum class MetricType {
  kCounter,    // rises from 0 at start
  kGauge,      // goes up and down
  kHistogram,  // cumulative buckets, sum and count
  kStateSet    // a gauge for each word of the last label: 1 for the word that holds, 0 for the others
};

// "counter", "gauge", "histogram", "state set".
std::string_view word(MetricType type);

struct LabelDeclaration {
  std::string_view name;
  std::vector<std::string_view> values;  // all that occur; empty when the list is not closed
};

struct MetricDeclaration {
  std::string_view name;  // with the prefix brakeward_
  MetricType type;
  std::string_view unit;  // "seconds", "meters", "ratio", ...; empty for a plain number
  std::string_view help;  // one sentence
  std::vector<LabelDeclaration> labels;
  std::vector<double> buckets;  // upper bounds of a histogram; the last one, infinity, is not listed
};

// What the service itself does, sorted by name.
const std::vector<MetricDeclaration>& service_declarations();

// What event builds measure, sorted by name.
const std::vector<MetricDeclaration>& result_declarations();

// The declaration of that name of either list; aborts for a name that is not declared.
const MetricDeclaration& declaration(std::string_view name);

// The family that shows the measures of one unit of the catalogue: shown = value * multiplier / divisor, of
// which one is always 1, so that a value is rounded once at most.
struct UnitFamily {
  std::string_view unit;      // as in measure::MeasureInfo::unit
  std::string_view value;     // family of the build's own values
  std::string_view baseline;  // family of the baseline's values
  double multiplier;
  double divisor;
};

// One for every unit of the catalogue.
std::span<const UnitFamily> unit_families();

// The family of a unit, or null.
const UnitFamily* find_unit_family(std::string_view unit);

// The words of gRPC's status codes ("OK", "CANCELLED", ...), in the order of their numbers 0 to 16.
std::span<const std::string_view> rpc_code_words();

// Operations of the store that may fail: the names of the functions of store::Store, and "open".
std::span<const std::string_view> store_operations();

// Stands in a label for a word that is not on its closed list.
inline constexpr std::string_view kOther = "other";

}  // namespace brakeward::metrics
