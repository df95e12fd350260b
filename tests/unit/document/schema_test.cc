// The schema itself: every field of every message says what it is.
#include "document/schema.h"

#include <gtest/gtest.h>

#include <cmath>
#include <set>

#include "brakeward/v1/common.pb.h"
#include "document/describe.h"

namespace brakeward::document {
namespace {

using google::protobuf::Descriptor;
using google::protobuf::FieldDescriptor;

// All messages of the package, from the files of the documents and what they import.
std::vector<const Descriptor*> all_messages() {
  std::set<const google::protobuf::FileDescriptor*> files;
  for (const Descriptor* document : document_types()) {
    files.insert(document->file());
    for (int i = 0; i < document->file()->dependency_count(); ++i)
      files.insert(document->file()->dependency(i));
  }
  std::vector<const Descriptor*> out;
  for (const auto* file : files) {
    // The options' own messages describe fields; they are no documents.
    if (file->package() != "brakeward.v1" || file->name() == "brakeward/v1/quantity.proto") continue;
    for (int i = 0; i < file->message_type_count(); ++i) {
      EXPECT_EQ(file->message_type(i)->nested_type_count(), 0) << file->message_type(i)->full_name();
      out.push_back(file->message_type(i));
    }
  }
  return out;
}

void expect_good(const v1::Quantity& quantity, const std::string& where) {
  EXPECT_FALSE(quantity.unit().empty()) << where;
  EXPECT_TRUE(std::isfinite(quantity.minimum()) && std::isfinite(quantity.maximum())) << where;
  EXPECT_LT(quantity.minimum(), quantity.maximum()) << where;
  if (quantity.has_typical()) {
    EXPECT_GE(quantity.typical(), quantity.minimum()) << where;
    EXPECT_LE(quantity.typical(), quantity.maximum()) << where;
  }
  if (quantity.has_default_value()) {
    EXPECT_GE(quantity.default_value(), quantity.minimum()) << where;
    EXPECT_LE(quantity.default_value(), quantity.maximum()) << where;
    EXPECT_FALSE(quantity.may_be_unset())
        << where << ": a default and a meaning when unset exclude each other";
  }
}

void expect_sentence(const std::string& meaning, const std::string& where) {
  ASSERT_FALSE(meaning.empty()) << where;
  EXPECT_EQ(meaning.back(), '.') << where << ": " << meaning;
}

TEST(Schema, FindsAllMessages) {
  std::set<std::string> names;
  for (const Descriptor* message : all_messages()) names.insert(message->name());
  for (const char* name :
       {"Vehicle", "Tyre", "Calibration", "CurvePoint", "BuildSheet", "MeasureLimit", "Channel"}) {
    EXPECT_EQ(names.count(name), 1u) << name;
  }
}

TEST(Schema, EveryFieldSaysWhatItIs) {
  for (const Descriptor* message : all_messages()) {
    if (message == v1::CurvePoint::descriptor()) continue;  // axes stand at the field that holds the curve
    for (int i = 0; i < message->field_count(); ++i) {
      const FieldDescriptor* field = message->field(i);
      const std::string& where = field->full_name();
      expect_sentence(meaning_of(field), where);
      EXPECT_EQ(quantity_of(field) != nullptr, is_numeric(field)) << where;
      const bool is_curve = field->message_type() == v1::Curve::descriptor();
      EXPECT_EQ(curve_of(field) != nullptr, is_curve) << where;
      if (quantity_of(field) != nullptr) {
        expect_good(*quantity_of(field), where);
        EXPECT_TRUE(field->has_presence()) << where << ": unset and 0 must differ";
      } else if (is_curve) {
        expect_good(curve_of(field)->x(), where + ".x");
        expect_good(curve_of(field)->y(), where + ".y");
      } else {
        EXPECT_NE(note_of(field), nullptr) << where;
      }
    }
  }
}

TEST(Schema, EveryEnumStartsUnspecified) {
  for (const Descriptor* message : all_messages()) {
    for (int i = 0; i < message->field_count(); ++i) {
      const auto* words = message->field(i)->enum_type();
      if (words == nullptr) continue;
      ASSERT_NE(words->FindValueByNumber(0), nullptr);
      EXPECT_NE(words->FindValueByNumber(0)->name().find("_UNSPECIFIED"), std::string::npos)
          << words->full_name();
      EXPECT_GE(words->value_count(), 2) << words->full_name();
    }
  }
}

TEST(Schema, WritesNumbersShortAndExact) {
  EXPECT_EQ(format_number(0.1), "0.1");
  EXPECT_EQ(format_number(1500), "1500");
  EXPECT_EQ(format_number(-2.5), "-2.5");
  EXPECT_EQ(format_number(1e12), "1e+12");
  EXPECT_EQ(format_number(0.1 + 0.2), "0.30000000000000004");
  EXPECT_EQ(format_number(INFINITY), "inf");
  EXPECT_EQ(format_number(-INFINITY), "-inf");
  EXPECT_EQ(format_number(NAN), "nan");
  EXPECT_EQ(with_unit(3, "bar"), "3 bar");
  EXPECT_EQ(with_unit(3, "1"), "3");
}

TEST(Schema, SuggestsTheNearestWordOnly) {
  const std::vector<std::string> names = {"dead_band_mm", "low_pass_hz", "hysteresis_mm"};
  EXPECT_EQ(nearest_word("dead_band", names), "dead_band_mm");
  EXPECT_EQ(nearest_word("deadband_mm", names), "dead_band_mm");
  EXPECT_EQ(nearest_word("low_pas_hz", names), "low_pass_hz");
  EXPECT_EQ(nearest_word("histeresis_mm", names), "hysteresis_mm");
  EXPECT_EQ(nearest_word("colour", names), "");
  EXPECT_EQ(nearest_word(std::string(100000, 'x'), names), "");
}

}  // namespace
}  // namespace brakeward::document
