// A copy of the demo library to change at will, without its campaigns. Nothing here depends on the demo's
// numbers: a baseline is made anew in the copy.
#pragma once

#include <functional>
#include <string>

#include "brakeward/v1/baseline.pb.h"
#include "brakeward/v1/calibration.pb.h"
#include "brakeward/v1/campaign.pb.h"
#include "brakeward/v1/library.pb.h"
#include "brakeward/v1/recording.pb.h"
#include "brakeward/v1/run.pb.h"
#include "brakeward/v1/scenario.pb.h"
#include "brakeward/v1/stint.pb.h"
#include "brakeward/v1/vehicle.pb.h"
#include "end_to_end/program.h"

namespace brakeward::end_to_end {

class LibraryCopy {
 public:
  LibraryCopy();

  // Makes a baseline of the released calibration and enters it in the index.
  void make_baseline();

  std::filesystem::path file(const std::string& name) const { return folder() / name; }
  std::filesystem::path folder() const { return home_.path() / "car"; }
  // Beside the library, for outputs and candidates.
  std::filesystem::path beside(const std::string& name) const { return home_.path() / name; }

  std::string released() const { return file("calibrations/released.textproto"); }
  std::string vehicle() const { return file("vehicle/sorrel.textproto"); }
  std::string index() const { return file("library.textproto"); }
  std::string baseline() const { return file("baseline.textproto"); }

  // Reads a document, lets it be changed and writes it to `to`, or back.
  template <class Message>
  std::string change(const std::string& document, const std::function<void(Message&)>& change,
                     std::string to = {}) const;

  // A calibration beside the library: the released one, changed.
  std::string candidate(const std::function<void(v1::Calibration&)>& change) const;

  // Puts `value` in place of the value that follows the nth "FIELD:" of a text document; its line.
  int set_value(const std::string& document, const std::string& field, const std::string& value,
                int nth = 0) const;

  // Keeps only these scenarios and their recordings in the index.
  void keep(const std::vector<std::string>& scenarios) const;

  // Writes a campaign into the library and enters it in the index; its file.
  std::string add_campaign(const v1::Campaign& campaign) const;

  // The same of a stint.
  std::string add_stint(const v1::Stint& stint) const;

  // `brakeward check --library COPY --calibration ...`.
  Outcome check(const std::string& calibration, std::vector<std::string> more = {},
                const How& how = {}) const;
  // The same, and the run it wrote as JSON, read back through protobuf.
  Outcome check(const std::string& calibration, v1::Run& run, std::vector<std::string> more = {}) const;

 private:
  TemporaryFolder home_;
};

// Parses JSON strictly as a Run.
v1::Run run_from_json(const std::string& text);

}  // namespace brakeward::end_to_end
