#include "app/command.h"
#include "brakeward/v1/common.pb.h"
#include "document/parse.h"
#include "document/print.h"
#include "gate/proposal.h"
#include "report/atomic_file.h"

namespace brakeward::app {
namespace {

struct Propose {
  LibraryOptions library;
  std::string calibration, event_build, build_sheet, out;
};

struct Approve {
  LibraryOptions library;
  gate::ApprovalOptions approval;
  std::string proposal, out;
};

// Into the file, with the page on standard output; without a file the document on standard output.
int write(const v1::Baseline& baseline, const std::string& file, const std::string& page) {
  const std::string text = document::to_text(baseline);
  if (file.empty()) {
    print(text);
    return kPass;
  }
  if (absl::Status status = report::write_file_atomically(file, text); !status.ok())
    return report_failure(status);
  print(page);
  return kPass;
}

int run_propose(const Propose& o) {
  gate::ProposalOptions options;
  options.run = gate_options(o.library, o.calibration);
  options.event_build = o.event_build;
  if (!o.build_sheet.empty())
    if (const document::Faults faults = document::load(o.build_sheet, &options.build_sheet); !faults.empty())
      return report_failure(faults.status());
  const auto proposal = gate::propose(options);
  if (!proposal.ok()) return report_failure(proposal.status());
  return write(proposal->baseline, o.out,
               gate::render_proposal(*proposal) + "\nproposed only: `brakeward baseline approve " + o.out +
                   " --by WHO --on DAY --why WHY` approves it\n");
}

int run_approve(const Approve& o) {
  gate::ApprovalOptions options = o.approval;
  options.run = gate_options(o.library, "");
  options.proposal = o.proposal;
  const auto approval = gate::approve(options);
  if (!approval.ok()) return report_failure(approval.status());
  if (const auto& baseline = approval->baseline)
    return write(*baseline, o.out, gate::render_baseline(*baseline, o.out));
  print(gate::render_proposal(approval->made));
  report_failure(absl::FailedPreconditionError(o.proposal + ": not approved: " + approval->refusal));
  const auto& made = approval->made;
  return exit_code_of(made.present ? made.present->verdict : made.itself.verdict);
}

int run_show(const std::string& file) {
  v1::Baseline baseline;
  if (const document::Faults faults = document::load(file, &baseline); !faults.empty())
    return report_failure(faults.status());
  print(gate::render_baseline(baseline, file));
  return kPass;
}

void add_propose(CLI::App& parent, int* exit_code) {
  auto* command = parent.add_subcommand(
      "propose",
      "make a baseline without approval from a calibration of the library\nTells what it will not judge, and "
      "how every measure moved against the present baseline.");
  auto o = std::make_shared<Propose>();
  command->add_option("--calibration", o->calibration, "released calibration")->required()->check(a_name());
  add_library_options(*command, o->library, true);
  command->add_option("--event-build", o->event_build,
                      "name of the event build; the calibration's by default");
  command->add_option("--build-sheet", o->build_sheet, "BuildSheet document: what is fitted")
      ->check(a_name());
  command->add_option("--out", o->out, "file to write; by default the document goes to standard output")
      ->check(a_name());
  command->callback([o, exit_code] { *exit_code = run_propose(*o); });
}

void add_approve(CLI::App& parent, int* exit_code) {
  auto* command = parent.add_subcommand("approve",
                                        "approve a proposed baseline: make it anew, check it against the "
                                        "present one and sign it\nExit codes: 0 "
                                        "approved; 1, 2, 3 refused because the check fails, is inconclusive "
                                        "or breaks; 65 the proposal does not "
                                        "hold.");
  auto o = std::make_shared<Approve>();
  command->add_option("proposal", o->proposal, "what `propose` wrote")->required()->check(a_name());
  add_library_options(*command, o->library, true);
  command->add_option("--by", o->approval.by, "role or tag of the person who approves; not a name")
      ->required();
  command->add_option("--on", o->approval.on, "day of the approval, ISO 8601: --on \"$(date -I)\"")
      ->required();
  command->add_option("--why", o->approval.why, "why this baseline")->required();
  command->add_option("--accept-moves", o->approval.accept_moves,
                      "why it is approved although the check against the present baseline does not pass");
  command->add_option("--out", o->out, "file to write; by default the document goes to standard output")
      ->check(a_name());
  command->callback([o, exit_code] { *exit_code = run_approve(*o); });
}

void add_show(CLI::App& parent, int* exit_code) {
  auto* command = parent.add_subcommand(
      "show", "print who approved a baseline, when, why, what made it and what it leaves unjudged");
  auto file = std::make_shared<std::string>();
  command->add_option("file", *file, "baseline document")->required()->check(a_name());
  command->callback([file, exit_code] { *exit_code = run_show(*file); });
}

}  // namespace

void add_baseline(CLI::App& app, int* exit_code) {
  auto* command = app.add_subcommand("baseline", "propose, approve or show the measures of an event build");
  command->require_subcommand(1);
  add_propose(*command, exit_code);
  add_approve(*command, exit_code);
  add_show(*command, exit_code);
}

}  // namespace brakeward::app
