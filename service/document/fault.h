// What is wrong with a document. Plain values; no protobuf here.
#pragma once

#include <string>
#include <vector>

#include "absl/status/status.h"

namespace brakeward::document {

// One fault. `text` is a sentence with value, allowed range, unit and remedy.
struct Fault {
  std::string file;     // as the caller named it; empty for a message that came from no file
  int line = 0;         // from 1; 0 when the fault has no line (a missing file, a message from the wire)
  int column = 0;       // from 1, in bytes; 0 when there is no line
  std::string address;  // address.h; empty when the fault is about the whole document
  std::string text;
};

// "file:line: address: sentence", leaving out what is not known.
std::string render(const Fault& fault);

// All faults of one document, in order of line.
struct Faults {
  std::vector<Fault> list;

  bool empty() const { return list.empty(); }
  void add(Fault fault) { list.push_back(std::move(fault)); }
  // Appends the faults of another document.
  void append(const Faults& other);
  // Stable sort by file, then line and column.
  void sort();
  // One line a fault, each ending in a newline; empty when there is none.
  std::string render() const;
  // OK when empty, else InvalidArgument with all faults, one a line, in the message.
  absl::Status status() const;
};

}  // namespace brakeward::document
