#include "document/text.h"
#include "gate/proposal.h"
#include "report/brief.h"
#include "report/moves.h"
#include "report/text.h"
#include "verdict/concat.h"

namespace brakeward::gate {
namespace {

using verdict::append;
using verdict::concat;

constexpr size_t kWidth = 110;

std::string row(std::string_view label, std::string_view value) {
  std::string name(label);
  name.resize(18, ' ');
  return concat(name, value.empty() ? "-" : document::clean(value), "\n");
}

std::string bullet(std::string_view text) {
  std::string out;
  for (const std::string& line : report::wrap(document::clean(text), kWidth - 4))
    append(out, out.empty() ? "  - " : "    ", line, "\n");
  return out;
}

std::string hash_row(std::string_view label, std::string_view name, const std::string& sha256) {
  return row(label,
             concat(name, name.empty() ? "" : "  ", "(sha256 ", sha256.substr(0, report::kHashDigits), ")"));
}

std::string state_of(const v1::Baseline& b) {
  if (b.content_sha256().empty()) return "not told: the document has no content hash";
  const auto content = baseline_content_sha256(b);
  return content.ok() && *content == b.content_sha256()
             ? concat("as proposed (sha256 ", b.content_sha256().substr(0, report::kHashDigits), ")")
             : "CHANGED after it was proposed: the content hash does not hold";
}

std::string numerics_of(const v1::Baseline& b) {
  const bool same = b.numerics_version() == replay::kNumericsVersion;
  return concat(b.numerics_version(),
                same ? "" : concat(", this program has ", replay::kNumericsVersion, ": propose it again"));
}

std::string build_sheet_of(const v1::BuildSheet& s) {
  return row("pads", s.pads()) + row("tyres", s.tyres()) + row("fluid", s.fluid()) +
         row("sensor zeros", s.sensor_zeros()) + row("controller", s.controller_software()) +
         row("driver", s.driver_tag());
}

template <class List>
std::string not_judged(const List& lines) {
  if (lines.empty()) return "not judged: nothing; every measure of every scenario will be\n";
  std::string out = "not judged:\n";
  for (const std::string& line : lines) out += bullet(line);
  return out;
}

std::string caution() {
  std::string out;
  for (const std::string& line : report::wrap(verdict::caution(), kWidth)) append(out, line, "\n");
  return out;
}

std::string moved(const Proposal& p) {
  if (p.present) return concat(report::render_moves(*p.present), "\n", report::render_brief(*p.present));
  if (p.why_no_present.empty()) return "no present baseline: nothing to have moved against\n";
  return concat("what moved is not known, for the present baseline does not fit:\n", p.why_no_present);
}

}  // namespace

std::string short_hash(const std::string& sha256) {
  return sha256.empty() ? "none" : sha256.substr(0, report::kHashDigits) + "...";
}

std::string render_baseline(const v1::Baseline& b, const std::string& file) {
  size_t values = 0;
  for (const auto& s : b.scenarios()) values += static_cast<size_t>(s.values_size());
  std::string out = row("baseline", file) + row("event build", b.event_build());
  if (b.approved_by().empty()) {
    out += row("approval", "none: proposed only");
  } else {
    out += row("approved by", b.approved_by()) + row("approved on", b.approved_on()) + row("why", b.reason());
  }
  if (!b.accepted_moves().empty()) out += row("moves accepted", b.accepted_moves());
  out += row("compared with", b.compared_with()) + row("content", state_of(b)) +
         row("numerics version", numerics_of(b)) +
         hash_row("calibration", b.calibration_name(), b.calibration_sha256()) +
         hash_row("vehicle", "", b.vehicle_sha256());
  if (!b.tolerances_sha256().empty()) out += hash_row("tolerances", "", b.tolerances_sha256());
  if (!b.library_sha256().empty()) out += hash_row("library", "", b.library_sha256());
  append(out, row("holds", concat(values, " values of ", b.scenarios_size(), " scenarios")));
  out += b.has_build_sheet() ? "\nbuild sheet\n" + build_sheet_of(b.build_sheet())
                             : row("build sheet", "none given");
  return concat(out, "\n", not_judged(b.not_judged()), "\n", caution());
}

std::string render_proposal(const Proposal& p) {
  return concat(row("event build", p.baseline.event_build()),
                hash_row("calibration", p.baseline.calibration_name(), p.baseline.calibration_sha256()),
                row("compared with", p.baseline.compared_with()), "\n", moved(p), "\n",
                not_judged(p.baseline.not_judged()), "\n", caution());
}

}  // namespace brakeward::gate
