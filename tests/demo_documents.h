// Documents of the demo cars as messages.
#pragma once

#include <string>

#include "document/document.h"
#include "gtest/gtest.h"

namespace brakeward::tests {

// `file` below scenarios/, defaults resolved; the test fails with every fault of the document.
template <class Message>
Message demo_document(const std::string& file) {
  Message message;
  const document::Faults faults =
      document::load(std::string(BRAKEWARD_SOURCE_DIR) + "/scenarios/" + file, &message);
  EXPECT_TRUE(faults.empty()) << faults.render();
  document::resolve_defaults(&message);
  return message;
}

}  // namespace brakeward::tests
