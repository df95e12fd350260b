// Broken, cut and hostile documents: never a crash, always either a good document or at least one fault with
// a line, and never anything accepted that protobuf's own parser refuses.
#include <google/protobuf/io/tokenizer.h>
#include <google/protobuf/stubs/logging.h>
#include <google/protobuf/text_format.h>
#include <google/protobuf/util/json_util.h>
#include <gtest/gtest.h>

#include <cmath>
#include <cstdint>

#include "brakeward/v1/calibration.pb.h"
#include "unit/document/sample.h"

namespace brakeward::document {
namespace {

// xorshift64* (Marsaglia, Vigna): the same bytes on every machine.
class Random {
 public:
  explicit Random(uint64_t seed) : state_(seed) {}
  uint64_t next() {
    state_ ^= state_ >> 12;
    state_ ^= state_ << 25;
    state_ ^= state_ >> 27;
    return state_ * 0x2545F4914F6CDD1DULL;
  }
  size_t below(size_t bound) { return static_cast<size_t>((next() >> 11) % bound); }

 private:
  uint64_t state_;
};

int protobuf_messages = 0;
void count_message(google::protobuf::LogLevel, const char*, int, const std::string&) {
  ++protobuf_messages;
}

class Silent : public google::protobuf::io::ErrorCollector {
 public:
  void AddError(int, google::protobuf::io::ColumnNumber, const std::string&) override {}
};

bool protobuf_accepts(const std::string& text, bool is_json) {
  v1::Calibration calibration;
  if (is_json) return google::protobuf::util::JsonStringToMessage(text, &calibration).ok();
  Silent silent;
  google::protobuf::TextFormat::Parser parser;
  parser.RecordErrorsTo(&silent);
  return parser.ParseFromString(text, &calibration);
}

// The promise every text is held to.
void expect_answer(const std::string& text, const std::string& file = "c.textproto") {
  v1::Calibration calibration;
  const Faults faults = parse(text, file, &calibration);
  if (faults.empty()) {
    EXPECT_TRUE(protobuf_accepts(text, file == "c.json")) << text;
    EXPECT_TRUE(check(calibration).empty()) << text;
    EXPECT_TRUE(content_sha256(calibration).ok()) << text;
    return;
  }
  const int lines = static_cast<int>(std::count(text.begin(), text.end(), '\n')) + 1;
  for (const Fault& fault : faults.list) {
    EXPECT_GE(fault.line, 1) << render(fault) << "\n" << text;
    EXPECT_LE(fault.line, lines) << render(fault) << "\n" << text;
    EXPECT_FALSE(fault.text.empty());
    // A fault is one line; a document cannot forge a second.
    EXPECT_EQ(render(fault).find('\n'), std::string::npos) << render(fault);
  }
}

class Documents : public testing::Test {
 protected:
  void SetUp() override {
    protobuf_messages = 0;
    previous_ = google::protobuf::SetLogHandler(&count_message);
    v1::Calibration calibration;
    ASSERT_TRUE(parse(kCalibration, "c.textproto", &calibration).empty());
    json_ = *to_json(calibration);
  }
  void TearDown() override {
    EXPECT_EQ(protobuf_messages, 0) << "protobuf wrote to its log";
    google::protobuf::SetLogHandler(previous_);
  }

  google::protobuf::LogHandler* previous_ = nullptr;
  std::string json_;
};

TEST_F(Documents, CutAtEveryByte) {
  const std::string text = kCalibration;
  for (size_t size = 0; size < text.size(); ++size) expect_answer(text.substr(0, size));
  for (size_t size = 0; size < json_.size(); ++size) expect_answer(json_.substr(0, size), "c.json");
}

TEST_F(Documents, EveryLineLeftOut) {
  const std::string text = kCalibration;
  for (size_t at = 0; at < text.size();) {
    const size_t end = text.find('\n', at) + 1;
    expect_answer(text.substr(0, at) + text.substr(end));
    at = end;
  }
}

TEST_F(Documents, OneByteChanged) {
  Random random(1);
  static const char kTelling[] = "{}[]<>:;,\"'#\\-.0e_ \n\t\xFF";
  for (int round = 0; round < 3000; ++round) {
    const bool is_json = round % 3 == 0;
    std::string text = is_json ? json_ : kCalibration;
    const size_t at = random.below(text.size());
    text[at] =
        round % 2 == 0 ? kTelling[random.below(sizeof(kTelling))] : static_cast<char>(random.next() >> 56);
    expect_answer(text, is_json ? "c.json" : "c.textproto");
  }
}

TEST_F(Documents, SeveralStretchesMovedDoubledOrDropped) {
  Random random(2);
  for (int round = 0; round < 1500; ++round) {
    const bool is_json = round % 3 == 0;
    std::string text = is_json ? json_ : kCalibration;
    for (int k = 0; k < 3; ++k) {
      const size_t from = random.below(text.size());
      const std::string piece = text.substr(from, 1 + random.below(40));
      if (random.below(2) == 0) text.erase(from, piece.size());
      if (random.below(2) == 0) text.insert(random.below(text.size() + 1), piece);
    }
    expect_answer(text, is_json ? "c.json" : "c.textproto");
  }
}

TEST_F(Documents, RandomBytesAndRandomTokens) {
  Random random(3);
  static const char* const kTokens[] = {"name",  ":",      "{", "}", "[",  "]",  "<",  ">",     "\"",
                                        "'",     "1.5",    "-", ",", ";",  "#",  "\n", " ",     "balance",
                                        "steps", "points", "x", "y", "0x", "1e", ".",  "pedal", "feel"};
  for (int round = 0; round < 2000; ++round) {
    std::string bytes;
    for (size_t size = random.below(200); size > 0; --size) bytes += static_cast<char>(random.next() >> 56);
    expect_answer(bytes);
    expect_answer(bytes, "c.json");
    std::string tokens;
    for (size_t size = random.below(60); size > 0; --size)
      tokens += kTokens[random.below(std::size(kTokens))];
    expect_answer(tokens);
    expect_answer(tokens, "c.json");
  }
}

TEST_F(Documents, DeepNesting) {
  for (const char* opener : {"hand_control {", "[", "balance { steps {", "{", "<", "x: ["}) {
    for (const int depth : {31, 32, 33, 1000, 200000}) {
      std::string text;
      for (int i = 0; i < depth; ++i) text += opener;
      expect_answer(text);
      expect_answer(text, "c.json");
      expect_answer("{\"name\": " + text, "c.json");
    }
  }
}

// Long inputs must answer in a time that grows with their length, not its square.
TEST_F(Documents, VeryLongLines) {
  const size_t size = size_t{1} << 18;
  expect_answer(std::string(size, 'a'));
  expect_answer(std::string(size, '"'));
  expect_answer(std::string(size, '1'));
  expect_answer("name: \"" + std::string(size, 'a'));
  expect_answer("pedal { dead_band_n: " + std::string(size, '7') + " }");
  expect_answer("\"" + std::string(size, 'a') + "\"", "c.json");
  std::string many;
  while (many.size() < size) many += "a: 1 ";
  expect_answer(many);
  std::string steps = "balance { ";
  while (steps.size() < size) steps += "steps { name: \"a\" front_percent: 60 } ";
  expect_answer(steps + "}");
}

// Damage in one place leaves the faults of the others in the answer.
TEST_F(Documents, OtherFaultsSurviveADamagedField) {
  const std::string bad =
      replaced(kCalibration, "limited_demand_percent: 100", "limited_demand_percent: 101");
  for (const char* damage :
       {"dead_band_n: @", "dead_band_n: 1 2", "dead_band_n: 'x", "dead_band_n: --1", "dead_band_n: \\",
        "dead_band_n", "dead_band_n: :", "dead_band_n 15", "dead_band_n: 1.2.3"}) {
    v1::Calibration calibration;
    const Faults faults = parse(replaced(bad, "dead_band_n: 15", damage), "c.textproto", &calibration);
    ASSERT_EQ(faults.list.size(), 2u) << damage << "\n" << faults.render();
    EXPECT_EQ(faults.list[0].line, 28) << faults.render();
    EXPECT_EQ(faults.list[1].address, "supervision.limited_demand_percent") << faults.render();
  }
}

// Binary messages from the wire with any content: checked, hashed or refused, never a crash.
TEST_F(Documents, BytesFromTheWire) {
  Random random(4);
  v1::Calibration good;
  ASSERT_TRUE(parse(kCalibration, "c.textproto", &good).empty());
  const std::string wire = good.SerializeAsString();
  for (int round = 0; round < 2000; ++round) {
    std::string bytes = wire;
    bytes[random.below(bytes.size())] = static_cast<char>(random.next() >> 56);
    v1::Calibration calibration;
    if (!calibration.ParseFromString(bytes)) continue;
    const Faults faults = check(calibration);
    EXPECT_TRUE(!faults.empty() || content_sha256(calibration).ok());
    EXPECT_TRUE(diff(good, calibration).ok());
    resolve_defaults(&calibration);
  }
  protobuf_messages = 0;  // the parser of the wire itself reports text that is not UTF-8
}

}  // namespace
}  // namespace brakeward::document
