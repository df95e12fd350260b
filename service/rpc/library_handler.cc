#include "rpc/library_handler.h"

#include <algorithm>

#include "document/check.h"
#include "document/sha256.h"
#include "gate/session.h"
#include "rpc/errors.h"
#include "rpc/pages.h"
#include "rpc/prepare.h"

namespace brakeward::rpc {
namespace {

using Held = std::shared_ptr<const gate::HeldLibrary>;

template <class Request>
int page_size_of(const Request& request) {
  return request.page_size() > 0 ? request.page_size() : kUsualPage;
}

absl::Status check_request(const google::protobuf::Message& request) {
  const document::Faults faults = document::check(request);
  return faults.empty() ? absl::OkStatus() : invalid(faults);
}

// Fills a page of `items`; `list` is told to callers, `content` is what tokens are good for.
template <class Request, class Items, class Add>
absl::StatusOr<std::string> fill_page(const Request& request, const std::string& list,
                                      const std::string& content, const Items& items, const Add& add) {
  const std::string bound = list + " " + content;
  const auto begin = page_begin(bound, list, request.page_token());
  if (!begin.ok()) return begin.status();
  const size_t end = std::min(items.size(), *begin + static_cast<size_t>(page_size_of(request)));
  for (size_t i = *begin; i < end; ++i) add(items[i]);
  return end < items.size() ? page_token(bound, std::to_string(end)) : std::string();
}

std::string resource_of(const gate::HeldLibrary& held) {
  return "libraries/" + held.name();
}

v1::LibraryEntry entry_of(const gate::HeldLibrary& held, bool with_documents) {
  const scenario::Library& library = *held.library;
  v1::LibraryEntry entry;
  entry.set_name(resource_of(held));
  entry.set_sha256(held.sha256);
  entry.set_provenance(library.index.provenance());
  entry.set_vehicle_name(library.vehicle.message.name());
  entry.set_vehicle_sha256(library.vehicle.sha256);
  if (library.baseline) {
    entry.set_baseline_event_build(library.baseline->message.event_build());
    entry.set_baseline_sha256(library.baseline->sha256);
  }
  entry.set_scenario_count(static_cast<int>(library.scenarios.size()));
  if (with_documents) *entry.mutable_vehicle() = library.vehicle.message;
  return entry;
}

v1::ScenarioEntry entry_of(const gate::HeldLibrary& held, const scenario::Loaded<v1::Scenario>& scenario,
                           bool with_documents) {
  v1::ScenarioEntry entry;
  entry.set_name(resource_of(held) + "/scenarios/" + scenario.message.name());
  entry.set_sha256(gate::scenario_sha256(*held.library, scenario));
  if (with_documents) *entry.mutable_scenario() = scenario.message;
  return entry;
}

v1::CalibrationEntry entry_of(const gate::HeldLibrary& held,
                              const scenario::Loaded<v1::Calibration>& calibration, bool with_documents) {
  v1::CalibrationEntry entry;
  entry.set_name(resource_of(held) + "/calibrations/" + calibration.message.name());
  entry.set_sha256(calibration.sha256);
  if (with_documents) *entry.mutable_calibration() = calibration.message;
  return entry;
}

v1::BaselineEntry baseline_entry(const gate::HeldLibrary& held, const std::string& sha256,
                                 const std::string& event_build) {
  v1::BaselineEntry entry;
  entry.set_name(resource_of(held) + "/baselines/" + sha256);
  entry.set_sha256(sha256);
  entry.set_event_build(event_build);
  entry.set_current(held.library->baseline && held.library->baseline->sha256 == sha256);
  return entry;
}

// "libraries/<library>/<kind>/<item>" taken apart.
struct Resource {
  Held library;
  std::string item;
};
absl::StatusOr<Resource> resource(gate::Desk& desk, const std::string& name, const std::string& kind) {
  const std::string middle = "/" + kind + "/";
  const size_t at = name.find(middle);
  if (at == std::string::npos || at + middle.size() == name.size())
    return invalid({{"name", "is no resource name; write libraries/<library>" + middle + "<name>"}});
  auto library = find_library(desk.libraries(), name.substr(0, at));
  if (!library.ok()) return library.status();
  return Resource{*std::move(library), name.substr(at + middle.size())};
}

template <class Item>
const Item* named(const std::vector<Item>& items, const std::string& name) {
  const auto it =
      std::find_if(items.begin(), items.end(), [&](const Item& i) { return i.message.name() == name; });
  return it == items.end() ? nullptr : &*it;
}

template <class Item>
std::vector<std::string> names_of(const std::vector<Item>& items) {
  std::vector<std::string> names;
  for (const Item& item : items) names.push_back(item.message.name());
  return names;
}

// Baselines of the history that stand after the library's own. A token of the history that it does not take
// any more is a page token that is not of this list.
absl::StatusOr<store::Page<store::BaselineRow>> kept_baselines(gate::Desk& desk, const std::string& library,
                                                               const std::string& token, int size) {
  store::Query query;
  query.library = library;
  query.page_token = token;
  query.page_size = size;
  auto page = desk.history().store().list_baselines(query);
  if (page.ok()) return page;
  if (absl::IsInvalidArgument(page.status())) return bad_page_token("libraries/" + library + "/baselines");
  return history_failed(page.status().code());
}

}  // namespace

absl::StatusOr<v1::ListLibrariesResponse> answer(gate::Desk& desk, const v1::ListLibrariesRequest& request) {
  if (absl::Status status = check_request(request); !status.ok()) return status;
  const auto all = desk.libraries().all();
  std::string content;
  for (const auto& held : all) content += held->name() + " " + held->sha256 + "\n";
  v1::ListLibrariesResponse response;
  auto next = fill_page(request, "libraries", document::sha256_hex(content), all,
                        [&](const Held& held) { *response.add_libraries() = entry_of(*held, false); });
  if (!next.ok()) return next.status();
  response.set_next_page_token(*std::move(next));
  return response;
}

absl::StatusOr<v1::GetLibraryResponse> answer(gate::Desk& desk, const v1::GetLibraryRequest& request) {
  if (absl::Status status = check_request(request); !status.ok()) return status;
  const auto held = find_library(desk.libraries(), request.name());
  if (!held.ok()) return held.status();
  v1::GetLibraryResponse response;
  *response.mutable_library() = entry_of(**held, true);
  return response;
}

absl::StatusOr<v1::ListScenariosResponse> answer(gate::Desk& desk, const v1::ListScenariosRequest& request) {
  if (absl::Status status = check_request(request); !status.ok()) return status;
  const auto held = find_library(desk.libraries(), request.parent());
  if (!held.ok()) return held.status();
  v1::ListScenariosResponse response;
  auto next =
      fill_page(request, request.parent() + "/scenarios", (*held)->sha256, (*held)->library->scenarios,
                [&](const auto& s) { *response.add_scenarios() = entry_of(**held, s, false); });
  if (!next.ok()) return next.status();
  response.set_next_page_token(*std::move(next));
  return response;
}

absl::StatusOr<v1::GetScenarioResponse> answer(gate::Desk& desk, const v1::GetScenarioRequest& request) {
  if (absl::Status status = check_request(request); !status.ok()) return status;
  const auto wanted = resource(desk, request.name(), "scenarios");
  if (!wanted.ok()) return wanted.status();
  const auto& scenarios = wanted->library->library->scenarios;
  const auto* found = named(scenarios, wanted->item);
  if (!found) return not_found("SCENARIO_NOT_FOUND", "scenario", wanted->item, names_of(scenarios));
  v1::GetScenarioResponse response;
  *response.mutable_scenario() = entry_of(*wanted->library, *found, true);
  return response;
}

absl::StatusOr<v1::ListCalibrationsResponse> answer(gate::Desk& desk,
                                                    const v1::ListCalibrationsRequest& request) {
  if (absl::Status status = check_request(request); !status.ok()) return status;
  const auto held = find_library(desk.libraries(), request.parent());
  if (!held.ok()) return held.status();
  v1::ListCalibrationsResponse response;
  auto next =
      fill_page(request, request.parent() + "/calibrations", (*held)->sha256, (*held)->library->calibrations,
                [&](const auto& c) { *response.add_calibrations() = entry_of(**held, c, false); });
  if (!next.ok()) return next.status();
  response.set_next_page_token(*std::move(next));
  return response;
}

absl::StatusOr<v1::GetCalibrationResponse> answer(gate::Desk& desk,
                                                  const v1::GetCalibrationRequest& request) {
  if (absl::Status status = check_request(request); !status.ok()) return status;
  const auto wanted = resource(desk, request.name(), "calibrations");
  if (!wanted.ok()) return wanted.status();
  const auto& calibrations = wanted->library->library->calibrations;
  const auto* found = named(calibrations, wanted->item);
  if (!found) return not_found("CALIBRATION_NOT_FOUND", "calibration", wanted->item, names_of(calibrations));
  v1::GetCalibrationResponse response;
  *response.mutable_calibration() = entry_of(*wanted->library, *found, true);
  return response;
}

// The library's own comes first and is left out of what the history adds, so a page may be short.
absl::StatusOr<v1::ListBaselinesResponse> answer(gate::Desk& desk, const v1::ListBaselinesRequest& request) {
  if (absl::Status status = check_request(request); !status.ok()) return status;
  const auto held = find_library(desk.libraries(), request.parent());
  if (!held.ok()) return held.status();
  const std::string list = request.parent() + "/baselines";
  const std::string bound = list + " " + (*held)->sha256;
  const auto position = page_position(bound, list, request.page_token());
  if (!position.ok()) return position.status();
  v1::ListBaselinesResponse response;
  const auto& own = (*held)->library->baseline;
  int left = page_size_of(request);
  if (own && request.page_token().empty()) {
    *response.add_baselines() = baseline_entry(**held, own->sha256, own->message.event_build());
    if (--left == 0) {
      response.set_next_page_token(page_token(bound, ""));
      return response;
    }
  }
  const auto page = kept_baselines(desk, (*held)->name(), *position, left);
  if (!page.ok()) return page.status();
  for (const auto& row : page->rows)
    if (!own || row.sha256 != own->sha256)
      *response.add_baselines() = baseline_entry(**held, row.sha256, row.event_build);
  if (!page->next_page_token.empty()) response.set_next_page_token(page_token(bound, page->next_page_token));
  return response;
}

absl::StatusOr<v1::GetBaselineResponse> answer(gate::Desk& desk, const v1::GetBaselineRequest& request) {
  if (absl::Status status = check_request(request); !status.ok()) return status;
  const auto wanted = resource(desk, request.name(), "baselines");
  if (!wanted.ok()) return wanted.status();
  const auto& own = wanted->library->library->baseline;
  v1::GetBaselineResponse response;
  if (own && own->sha256 == wanted->item) {
    *response.mutable_baseline() = baseline_entry(*wanted->library, own->sha256, own->message.event_build());
    *response.mutable_baseline()->mutable_baseline() = own->message;
    return response;
  }
  const auto row = desk.history().store().get_baseline(wanted->item);
  const bool elsewhere = row.ok() && row->library != wanted->library->name();
  if (elsewhere || absl::IsNotFound(row.status())) {
    std::vector<std::string> existing;
    if (own) existing.push_back(own->sha256);
    return not_found("BASELINE_NOT_FOUND", "baseline", wanted->item, existing);
  }
  auto kept = desk.history().baseline(wanted->item);
  if (!kept.ok()) return history_failed(kept.status().code());
  *response.mutable_baseline() = baseline_entry(*wanted->library, wanted->item, kept->event_build());
  *response.mutable_baseline()->mutable_baseline() = *std::move(kept);
  return response;
}

}  // namespace brakeward::rpc
