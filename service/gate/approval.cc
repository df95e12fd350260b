#include <algorithm>

#include "document/date.h"
#include "document/diff.h"
#include "document/parse.h"
#include "gate/campaign.h"
#include "gate/proposal.h"
#include "gate/session.h"
#include "gate/stint.h"
#include "verdict/concat.h"

namespace brakeward::gate {
namespace {

using verdict::concat;

constexpr const char* kAgain = "propose the baseline again with `brakeward baseline propose`";

// Every fault of one proposal, each with its file.
class Refusal {
 public:
  explicit Refusal(const std::filesystem::path& file) : file_(file.string()) {}
  void add(const std::string& address, const std::string& text) {
    text_ += concat(file_, ": ", address, ": ", text, "\n");
  }
  absl::Status status() const {
    return text_.empty() ? absl::OkStatus() : absl::FailedPreconditionError(text_);
  }

 private:
  std::string file_, text_;
};

// A document that says something else than when the proposal was made.
void compare_hash(const std::string& address, const std::string& what, const std::string& proposed,
                  const std::string& now, Refusal& refusal) {
  if (proposed == now) return;
  refusal.add(address, concat(what, " has moved since it was proposed: ", short_hash(proposed), " then, ",
                              short_hash(now), " now; restore it, or ", kAgain));
}

void check_form(const v1::Baseline& b, Refusal& refusal) {
  if (!b.approved_by().empty())
    refusal.add("approved_by", concat("already approved by ", b.approved_by(), " on ", b.approved_on(),
                                      "; a baseline is approved once"));
  const auto content = baseline_content_sha256(b);
  if (b.content_sha256().empty())
    refusal.add("content_sha256", concat("unset, so that nobody can tell what was proposed; ", kAgain));
  else if (!content.ok())
    refusal.add("content_sha256", std::string(content.status().message()));
  else if (*content != b.content_sha256())
    refusal.add("content_sha256",
                concat("the document says ", short_hash(b.content_sha256()), ", its content has ",
                       short_hash(*content), ": something was changed after it was proposed; ", kAgain));
  if (b.numerics_version() != replay::kNumericsVersion)
    refusal.add("numerics_version", concat("proposed by numerics ", b.numerics_version(),
                                           ", this program has ", replay::kNumericsVersion,
                                           "; values of different numerics are never compared: ", kAgain));
}

void check_calibration(const v1::Baseline& b, const scenario::Library& lib, Refusal& refusal) {
  if (lib.calibration_hashed(b.calibration_sha256())) return;
  const auto* named = lib.calibration_named(b.calibration_name());
  if (named)
    compare_hash("calibration_sha256", named->file.string(), b.calibration_sha256(), named->sha256, refusal);
  else
    refusal.add(
        "calibration_sha256",
        concat("no calibration of the library has the content ", short_hash(b.calibration_sha256()), " of \"",
               b.calibration_name(), "\"; list that calibration under calibration_files, or ", kAgain));
}

// The campaign that a baseline's entry, its own or that of one of its faults, belongs to; null for none.
const scenario::Loaded<v1::Campaign>* campaign_of(const scenario::Library& lib, const std::string& entry) {
  const std::string name = entry.substr(0, entry.find('/'));
  const auto it = std::find_if(lib.campaigns.begin(), lib.campaigns.end(),
                               [&](const auto& c) { return c.message.name() == name; });
  return it == lib.campaigns.end() ? nullptr : &*it;
}

void check_scenario(const v1::BaselineScenario& b, const scenario::Library& lib, Refusal& refusal) {
  const std::string at = concat("scenarios[\"", b.scenario(), "\"]");
  if (const auto* campaign = campaign_of(lib, b.scenario())) {
    compare_hash(at + ".document_sha256", campaign->file.string(), b.document_sha256(), campaign->sha256,
                 refusal);
    return compare_hash(at + ".scenario_sha256", "the campaign's scenarios", b.scenario_sha256(),
                        campaign_sha256(lib, *campaign), refusal);
  }
  for (const auto& stint : lib.stints) {
    if (stint.message.name() != b.scenario()) continue;
    compare_hash(at + ".document_sha256", stint.file.string(), b.document_sha256(), stint.sha256, refusal);
    return compare_hash(at + ".scenario_sha256", "the stint's scenarios", b.scenario_sha256(),
                        stint_sha256(lib, stint), refusal);
  }
  const auto* scenario = lib.scenario_named(b.scenario());
  if (scenario == nullptr)
    return refusal.add(at, concat("the library no longer has this scenario; list its file under "
                                  "scenario_files, or ",
                                  kAgain));
  compare_hash(at + ".document_sha256", scenario->file.string(), b.document_sha256(), scenario->sha256,
               refusal);
  if (!scenario->message.has_recorded()) return;
  const auto* recording = lib.recording_named(scenario->message.recorded().recording());
  compare_hash(at + ".recording_sha256", recording->file.string(), b.recording_sha256(), recording->sha256,
               refusal);
  compare_hash(at + ".recording_file_sha256",
               (recording->file.parent_path() / recording->message.file()).string(),
               b.recording_file_sha256(), recording->file_sha256, refusal);
}

absl::Status check_documents(const std::filesystem::path& file, const v1::Baseline& b,
                             const scenario::Library& lib) {
  Refusal refusal(file);
  check_form(b, refusal);
  compare_hash("vehicle_sha256", lib.vehicle.file.string(), b.vehicle_sha256(), lib.vehicle.sha256, refusal);
  compare_hash("tolerances_sha256", lib.tolerances.file.string(), b.tolerances_sha256(),
               lib.tolerances.sha256, refusal);
  compare_hash("library_sha256", (lib.folder / "library.textproto").string(), b.library_sha256(),
               index_sha256(lib), refusal);
  check_calibration(b, lib, refusal);
  for (const auto& scenario : b.scenarios()) check_scenario(scenario, lib, refusal);
  const auto want = [&](const std::string& name) {
    const bool there = std::any_of(b.scenarios().begin(), b.scenarios().end(),
                                   [&](const auto& s) { return s.scenario() == name; });
    if (!there)
      refusal.add(concat("scenarios[\"", name, "\"]"), concat("the proposal lacks this scenario; ", kAgain));
  };
  for (const auto& scenario : lib.scenarios) want(scenario.message.name());
  for (const auto& campaign : lib.campaigns) {
    want(campaign.message.name());
    for (const auto& fault : campaign.message.faults()) want(baseline_name(campaign.message, fault));
  }
  for (const auto& stint : lib.stints) want(stint.message.name());
  return refusal.status();
}

// Does the replay give what the proposal says? By then every document has its hash.
absl::Status check_values(const std::filesystem::path& file, const v1::Baseline& proposed,
                          const v1::Baseline& made) {
  const auto differences = document::diff(proposed, made);
  if (!differences.ok()) return differences.status();
  Refusal refusal(file);
  for (const auto& d : *differences)
    refusal.add(d.address,
                concat("the proposal says ", d.before, ", made anew it is ", d.after, "; ", kAgain));
  return refusal.status();
}

std::string needs_acceptance(const verdict::Run& run, const std::string& against) {
  return concat("the check of ", run.calibration_name, " against ", against, " is ", word(run.verdict),
                "; correct the calibration, or say why its moves are accepted with --accept-moves");
}

// Why the check keeps the proposal from being approved; empty where it does not.
std::string refusal_of(const Proposal& made) {
  if (!made.present) {
    const bool bad = made.itself.verdict >= verdict::Verdict::kFail;
    return bad ? needs_acceptance(made.itself, "the limits of its scenarios") : "";
  }
  return made.present->verdict == verdict::Verdict::kPass
             ? ""
             : needs_acceptance(*made.present, made.present->baseline_event_build);
}

absl::Status check_words(const ApprovalOptions& o) {
  std::string faults;
  if (o.by.empty()) faults += "--by: empty; name the role or tag of the person who approves\n";
  if (o.why.empty()) faults += "--why: empty; say why this baseline\n";
  if (!document::is_date(o.on))
    faults += "--on: \"" + o.on + "\" is no day of the calendar; write it as 2026-03-01\n";
  return faults.empty() ? absl::OkStatus() : absl::InvalidArgumentError(faults);
}

}  // namespace

absl::StatusOr<Approval> approve(const ApprovalOptions& options) {
  if (absl::Status status = check_words(options); !status.ok()) return status;
  v1::Baseline proposal;  // as written: what is not set stays so
  if (const document::Faults faults = document::load(options.proposal, &proposal); !faults.empty())
    return faults.status();
  const auto session = open_session(options.run);
  if (!session.ok()) return session.status();
  const scenario::Library& library = *session->library;
  if (absl::Status status = check_documents(options.proposal, proposal, library); !status.ok()) return status;
  ProposalOptions again;
  again.run = options.run;
  again.run.calibration = library.calibration_hashed(proposal.calibration_sha256())->file;
  again.event_build = proposal.event_build();
  again.build_sheet = proposal.build_sheet();
  auto made = propose(again);
  if (!made.ok()) return made.status();
  if (absl::Status status = check_values(options.proposal, proposal, made->baseline); !status.ok())
    return status;
  const bool accepts = !options.accept_moves.empty();
  if (!made->why_no_present.empty() && !accepts)
    return absl::FailedPreconditionError(made->why_no_present +
                                         "the present baseline does not fit, so that nobody can tell what "
                                         "moved; say why that is accepted with "
                                         "--accept-moves\n");
  Approval out;
  out.made = *std::move(made);
  const std::string refusal = refusal_of(out.made);
  const verdict::Run& decisive = out.made.present ? *out.made.present : out.made.itself;
  if (!refusal.empty() && (!accepts || decisive.verdict == verdict::Verdict::kError)) {
    out.refusal = refusal;
    return out;
  }
  v1::Baseline approved = proposal;
  approved.set_approved_by(options.by);
  approved.set_approved_on(options.on);
  approved.set_reason(options.why);
  if (!refusal.empty() || !out.made.why_no_present.empty()) approved.set_accepted_moves(options.accept_moves);
  out.baseline = std::move(approved);
  return out;
}

}  // namespace brakeward::gate
