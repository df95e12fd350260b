#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "brakeward/v1/baseline.pb.h"
#include "brakeward/v1/calibration.pb.h"
#include "unit/document/sample.h"

namespace brakeward::document {
namespace {

using google::protobuf::FieldDescriptor;
using google::protobuf::Message;

// FIPS 180-4 example messages ("abc", the 448-bit message) and the empty message, from memory; sha256sum of
// GNU coreutils gives the same.
TEST(Sha256, KnownAnswers) {
  EXPECT_EQ(sha256_hex(""), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  EXPECT_EQ(sha256_hex("abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  EXPECT_EQ(sha256_hex("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq"),
            "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
}

TEST(Sha256, PiecesAndReuse) {
  Sha256 hash;
  hash.update("a");
  hash.update("");
  hash.update("bc");
  EXPECT_EQ(hash.hex(), sha256_hex("abc"));
  EXPECT_EQ(hash.hex(), sha256_hex(""));
}

// The encoding of content_hash.h written out with Python's struct module and hashed with its hashlib, without
// this library: 358 bytes.
TEST(ContentHash, GoldenValueComputedElsewhere) {
  v1::Baseline baseline;
  baseline.set_event_build("event 7");
  baseline.set_numerics_version(3);
  auto* scenario = baseline.add_scenarios();
  scenario->set_scenario("wet stop");
  auto* distance = scenario->add_values();
  distance->set_measure("stopping_distance");
  distance->set_value(41.25);
  distance->set_spread(-0.0);
  auto* onset = scenario->add_values();
  onset->set_measure("onset");
  onset->set_never_reached(true);
  baseline.add_not_judged("\xCE\x94");
  const auto bytes = canonical_bytes(baseline);
  ASSERT_TRUE(bytes.ok());
  EXPECT_EQ(bytes->size(), 358u);
  EXPECT_EQ(*content_sha256(baseline), "3562d7900d8aae174ac00d54a96c23e94a686aa74693c9f6ef08255dc2ea8a67");
}

// The encoding by hand for the smallest block.
TEST(ContentHash, BytesByHand) {
  v1::CurvePoint point;
  point.set_y(1);
  std::string expected = "brakeward.document.1M";
  expected += std::string("\x17\0\0\0\0\0\0\0", 8) + "brakeward.v1.CurvePoint";
  expected += std::string("\x02\0\0\0", 4) + "D" + std::string("\0\0\0\0\0\0\xF0\x3F", 8);
  expected += std::string("\0\0\0\0", 4);
  EXPECT_EQ(*canonical_bytes(point), expected);
}

TEST(ContentHash, FormAndOrderMakeNoDifference) {
  v1::Calibration calibration;
  ASSERT_TRUE(parse(kCalibration, "c.textproto", &calibration).empty());
  const std::string hash = *content_sha256(calibration);
  // Blocks and fields in another order, a comment, another way of writing a number.
  std::string other = kCalibration;
  const size_t pedal = other.find("pedal {");
  const size_t balance = other.find("balance {");
  other = other.substr(0, pedal) + other.substr(balance) + other.substr(pedal, balance - pedal);
  other = replaced(other, "  dead_band_mm: 1.5\n  low_pass_hz: 30\n",
                   "  low_pass_hz: 3e1  # slow\n  dead_band_mm: 1.50,\n");
  v1::Calibration again;
  ASSERT_EQ(parse(other, "c.textproto", &again).render(), "");
  EXPECT_EQ(*content_sha256(again), hash);
  v1::Calibration from_json;
  ASSERT_EQ(parse(*to_json(calibration), "c.json", &from_json).render(), "");
  EXPECT_EQ(*content_sha256(from_json), hash);
  v1::Calibration from_wire;
  ASSERT_TRUE(from_wire.ParseFromString(calibration.SerializeAsString()));
  EXPECT_EQ(*content_sha256(from_wire), hash);
}

TEST(ContentHash, UnsetAndZeroDifferAndMinusZeroDoesNot) {
  v1::BaselineValue unset;
  v1::BaselineValue zero;
  zero.set_value(0);
  v1::BaselineValue minus_zero;
  minus_zero.set_value(-0.0);
  EXPECT_NE(*content_sha256(unset), *content_sha256(zero));
  EXPECT_EQ(*content_sha256(zero), *content_sha256(minus_zero));
}

TEST(ContentHash, AnEmptyBlockThatIsSetCounts) {
  v1::Calibration unset;
  v1::Calibration set;
  set.mutable_balance();
  EXPECT_NE(*content_sha256(unset), *content_sha256(set));
}

TEST(ContentHash, TypesDiffer) {
  v1::TrackScale scale;
  v1::CurvePoint point;
  EXPECT_NE(*content_sha256(scale), *content_sha256(point));
}

TEST(ContentHash, RefusesNanAndUnknownFields) {
  v1::Calibration calibration;
  calibration.mutable_balance()->add_steps()->set_name("+2");
  calibration.mutable_balance()->mutable_steps(0)->set_front_percent(std::nan(""));
  EXPECT_THAT(std::string(content_sha256(calibration).status().message()),
              testing::HasSubstr("balance.steps[0].front_percent: nan"));
  calibration.mutable_balance()->mutable_steps(0)->set_front_percent(60);
  EXPECT_TRUE(content_sha256(calibration).ok());
  auto* balance = calibration.mutable_balance();
  balance->GetReflection()->MutableUnknownFields(balance)->AddVarint(99, 1);
  EXPECT_THAT(std::string(content_sha256(calibration).status().message()),
              testing::HasSubstr("balance: field number 99 is unknown"));
}

void expect_seen(Message* root, const std::string& hash, const FieldDescriptor* field, int* changes) {
  EXPECT_NE(*content_sha256(*root), hash) << field->full_name();
  ++*changes;
}

void change_and_restore(Message* root, Message* message, const FieldDescriptor* field,
                        const std::string& hash, int* changes) {
  const auto* reflection = message->GetReflection();
  const std::unique_ptr<Message> kept(message->New());
  kept->CopyFrom(*message);
  if (field->is_repeated()) {
    reflection->RemoveLast(message, field);
    expect_seen(root, hash, field, changes);
    message->CopyFrom(*kept);
    // Swapped strings change the document; swapped blocks of the filled message differ by their texts.
    reflection->SwapElements(message, field, 0, 1);
    if (message->SerializeAsString() != kept->SerializeAsString()) expect_seen(root, hash, field, changes);
    message->CopyFrom(*kept);
    return;
  }
  reflection->ClearField(message, field);
  expect_seen(root, hash, field, changes);
  message->CopyFrom(*kept);
  switch (field->cpp_type()) {
    case FieldDescriptor::CPPTYPE_DOUBLE:
      reflection->SetDouble(message, field, std::nextafter(reflection->GetDouble(*message, field), 1e300));
      break;
    case FieldDescriptor::CPPTYPE_INT32:
      reflection->SetInt32(message, field, reflection->GetInt32(*message, field) + 1);
      break;
    case FieldDescriptor::CPPTYPE_ENUM:
      reflection->SetEnumValue(message, field, 2);
      break;
    case FieldDescriptor::CPPTYPE_STRING:
      reflection->SetString(message, field, reflection->GetString(*message, field) + " ");
      break;
    default:
      return;
  }
  expect_seen(root, hash, field, changes);
  message->CopyFrom(*kept);
}

// Every value of a filled message, one after the other, changed in the last bit, letter or word.
void expect_each_change_seen(Message* root, Message* message, const std::string& hash, int* changes) {
  const auto* reflection = message->GetReflection();
  std::vector<const FieldDescriptor*> fields;
  reflection->ListFields(*message, &fields);
  for (const FieldDescriptor* field : fields) {
    change_and_restore(root, message, field, hash, changes);
    if (field->cpp_type() != FieldDescriptor::CPPTYPE_MESSAGE) continue;
    for (int i = 0; field->is_repeated() && i < reflection->FieldSize(*message, field); ++i) {
      expect_each_change_seen(root, reflection->MutableRepeatedMessage(message, field, i), hash, changes);
    }
    if (!field->is_repeated()) {
      expect_each_change_seen(root, reflection->MutableMessage(message, field), hash, changes);
    }
  }
}

TEST(ContentHash, SeesEveryChange) {
  for (const auto* type : document_types()) {
    const std::unique_ptr<Message> message = new_message(type);
    fill(message.get());
    const std::string hash = *content_sha256(*message);
    int changes = 0;
    expect_each_change_seen(message.get(), message.get(), hash, &changes);
    EXPECT_EQ(*content_sha256(*message), hash) << type->name() << ": the test did not restore the message";
    EXPECT_GT(changes, 5) << type->name();
  }
}

}  // namespace
}  // namespace brakeward::document
