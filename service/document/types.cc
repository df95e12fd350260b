#include "absl/strings/ascii.h"
#include "absl/strings/match.h"
#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "absl/strings/str_replace.h"
#include "absl/strings/strip.h"
#include "brakeward/v1/baseline.pb.h"
#include "brakeward/v1/calibration.pb.h"
#include "brakeward/v1/campaign.pb.h"
#include "brakeward/v1/comparison.pb.h"
#include "brakeward/v1/library.pb.h"
#include "brakeward/v1/recording.pb.h"
#include "brakeward/v1/run.pb.h"
#include "brakeward/v1/scenario.pb.h"
#include "brakeward/v1/season.pb.h"
#include "brakeward/v1/service_config.pb.h"
#include "brakeward/v1/stint.pb.h"
#include "brakeward/v1/tolerances.pb.h"
#include "brakeward/v1/vehicle.pb.h"
#include "document/describe.h"
#include "document/schema.h"

namespace brakeward::document {

using google::protobuf::Descriptor;

namespace {

// "ToleranceSet", "tolerance_set" and "tolerance-set" are one name.
std::string plain(std::string_view name) {
  const absl::string_view view(name.data(), name.size());
  return absl::AsciiStrToLower(absl::StrReplaceAll(view, {{"_", ""}, {"-", ""}}));
}

}  // namespace

std::vector<const Descriptor*> document_types() {
  return {v1::Vehicle::descriptor(),      v1::Calibration::descriptor(),
          v1::Recording::descriptor(),    v1::ChannelMap::descriptor(),
          v1::Scenario::descriptor(),     v1::Campaign::descriptor(),
          v1::Stint::descriptor(),        v1::ToleranceSet::descriptor(),
          v1::Baseline::descriptor(),     v1::Library::descriptor(),
          v1::Run::descriptor(),          v1::Season::descriptor(),
          v1::Drift::descriptor(),        v1::HardwareComparison::descriptor(),
          v1::ServiceConfig::descriptor()};
}

absl::StatusOr<const Descriptor*> find_type(std::string_view name) {
  absl::string_view wanted(name.data(), name.size());
  absl::ConsumePrefix(&wanted, "brakeward.v1.");
  std::vector<std::string> documents;
  std::vector<std::string> names;
  for (const Descriptor* document : document_types()) {
    documents.push_back(document->name());
    const auto* file = document->file();
    std::vector<const google::protobuf::FileDescriptor*> files{file};
    for (int i = 0; i < file->dependency_count(); ++i) files.push_back(file->dependency(i));
    for (const auto* source : files) {
      if (source->package() != "brakeward.v1") continue;
      for (int i = 0; i < source->message_type_count(); ++i) {
        if (plain(source->message_type(i)->name()) == plain({wanted.data(), wanted.size()}))
          return source->message_type(i);
        names.push_back(source->message_type(i)->name());
      }
    }
  }
  const std::string near = nearest_word({wanted.data(), wanted.size()}, names);
  return absl::NotFoundError(absl::StrCat("there is no type \"", wanted, "\"; ",
                                          near.empty() ? "" : "did you mean " + near + "? ", "Documents are ",
                                          absl::StrJoin(documents, ", "), "."));
}

}  // namespace brakeward::document
