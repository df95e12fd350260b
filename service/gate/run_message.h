// The run as a message and back: what travels and what is kept. Every bit of every number arrives.
#pragma once

#include "absl/status/statusor.h"
#include "brakeward/v1/run.pb.h"
#include "verdict/run.h"

namespace brakeward::gate {

v1::Run to_message(const verdict::Run& run);
v1::ScenarioResult to_message(const verdict::ScenarioResult& result);
v1::Tier to_message(verdict::Tier tier);
v1::Verdict to_verdict(verdict::Verdict verdict);
// SCENARIO_CLASS_UNSPECIFIED for a word that is none.
v1::ScenarioClass to_class(const std::string& word);

// Empty for TIER_UNSPECIFIED and for a tier this program does not know.
std::optional<verdict::Tier> to_tier(v1::Tier tier);

// InvalidArgument for an enum value this program does not know, and when the result's hash does not match
// what the message holds.
absl::StatusOr<verdict::Run> from_message(const v1::Run& message);
absl::StatusOr<verdict::ScenarioResult> from_message(const v1::ScenarioResult& message);

}  // namespace brakeward::gate
