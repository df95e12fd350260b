#include "document/diagnose.h"

#include <algorithm>
#include <map>

#include "absl/strings/ascii.h"
#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "absl/strings/str_replace.h"
#include "document/address.h"
#include "document/schema.h"

namespace brakeward::document {

using google::protobuf::Descriptor;
using google::protobuf::FieldDescriptor;

namespace {

struct Item {
  std::string shown;  // "[\"+2\"]"
  std::string path;   // "[3]"
};

// Items of a repeated field over all its entries, with their labels.
using Items = std::map<const Value*, Item>;

std::string written_name(const Value& item, const Descriptor* type, bool is_json) {
  const FieldDescriptor* key = type == nullptr ? nullptr : key_of(type);
  for (const Entry& entry : item.entries) {
    std::string text;
    if (key != nullptr && field_of(type, entry.name, is_json) == key && unquote(entry.value.text, &text))
      return text;
  }
  return "";
}

Items label_items(const std::vector<Entry>& entries, const Descriptor* type, bool is_json) {
  std::map<const FieldDescriptor*, std::vector<const Value*>> lists;
  for (const Entry& entry : entries) {
    const FieldDescriptor* field = field_of(type, entry.name, is_json);
    if (field == nullptr || !field->is_repeated()) continue;
    if (entry.value.kind != Value::Kind::kList) lists[field].push_back(&entry.value);
    for (const Value& item : entry.value.items) lists[field].push_back(&item);
  }
  Items out;
  for (const auto& [field, values] : lists) {
    std::vector<std::string> names;
    for (const Value* value : values) names.push_back(written_name(*value, field->message_type(), is_json));
    const std::vector<std::string> labels = labels_from_names(names);
    for (size_t i = 0; i < values.size(); ++i) {
      out[values[i]] = {labels[i], position_label(static_cast<int>(i))};
    }
  }
  return out;
}

// Address of a block of type `type` that has a field `name`, for a value that strayed into another block.
std::string home_of(const Descriptor* type, const std::string& name, const std::string& prefix, int depth) {
  for (int i = 0; i < type->field_count() && depth > 0; ++i) {
    const FieldDescriptor* field = type->field(i);
    if (field->message_type() == nullptr) continue;
    const std::string at = join_address(prefix, field->name()) + (field->is_repeated() ? "[]" : "");
    if (field->message_type()->FindFieldByName(name) != nullptr) return at;
    const std::string deeper = home_of(field->message_type(), name, at, depth - 1);
    if (!deeper.empty()) return deeper;
  }
  return "";
}

std::string squeezed(std::string_view text) {
  std::string out = absl::StrReplaceAll(absl::string_view(text.data(), text.size()), {{" ", ""}, {"\t", ""}});
  return absl::AsciiStrToLower(out);
}

class Diagnoser {
 public:
  Diagnoser(size_t end, const Descriptor* root, const std::string& file, bool is_json)
      : end_(end), root_(root), file_(file), is_json_(is_json) {}

  void block(const std::vector<Entry>& entries, const Descriptor* type, const std::string& shown,
             const std::string& path) {
    const Items items = label_items(entries, type, is_json_);
    const std::vector<std::string> open = open_fields(entries, type);
    std::map<const FieldDescriptor*, const Entry*> seen;
    std::map<const google::protobuf::OneofDescriptor*, const Entry*> chosen;
    for (size_t i = 0; i < entries.size(); ++i) {
      const Entry& entry = entries[i];
      if (entry.begin >= end_) return;
      const FieldDescriptor* field = field_of(type, entry.name, is_json_);
      if (field == nullptr) {
        unknown(entry, open, type, shown, path);
        continue;
      }
      const std::string own_shown = join_address(shown, field->name());
      const std::string own_path = join_address(path, field->name());
      std::string text = repetition(entry, field, &seen, &chosen);
      if (text.empty()) text = entry_fault(entry, field);
      if (text.empty() && is_json_ && !entry.has_separator && i + 1 < entries.size()) {
        text = "is not followed by a comma; put one between members.";
      }
      if (!text.empty()) {
        add(entry, own_shown, own_path, std::move(text));
      } else {
        inner_blocks(entry, field, items, own_shown, own_path);
      }
    }
  }

  Diagnosis take() { return std::move(out_); }

 private:
  void add(const Entry& entry, const std::string& shown, const std::string& path, std::string text) {
    out_.faults.add({file_, entry.line, entry.column, shown, std::move(text)});
    out_.blanks.emplace_back(entry.begin, entry.end);
    out_.excused.insert(path);
  }

  // Fields that are not given here: a misspelt name probably means one of them.
  std::vector<std::string> open_fields(const std::vector<Entry>& entries, const Descriptor* type) const {
    std::set<const FieldDescriptor*> given;
    for (const Entry& entry : entries) given.insert(field_of(type, entry.name, is_json_));
    std::vector<std::string> names;
    for (int i = 0; i < type->field_count(); ++i) {
      if (given.count(type->field(i)) == 0) names.push_back(type->field(i)->name());
    }
    return names;
  }

  void unknown(const Entry& entry, const std::vector<std::string>& open, const Descriptor* type,
               const std::string& shown, const std::string& path) {
    if (entry.name.empty()) {
      add(entry, shown, path + ".",
          absl::StrCat("'", excerpt(entry.stray), "' cannot stand here; a field is written ",
                       is_json_ ? "\"name\": value." : "name: value."));
      return;
    }
    std::string near = nearest_word(entry.name, open);
    if (near.empty()) near = nearest_word(entry.name, field_names(type));
    const std::string home = home_of(root_, entry.name, "", 6);
    std::string advice = "; its fields are " + absl::StrJoin(field_names(type), ", ") + ".";
    if (!near.empty()) advice = "; did you mean " + near + "?";
    if (!home.empty()) advice = absl::StrCat("; a field of that name belongs to ", home, ".");
    add(entry, join_address(shown, excerpt(entry.name)), join_address(path, entry.name),
        absl::StrCat(type->name(), " has no field of this name", advice));
    if (!near.empty()) out_.excused.insert(join_address(path, near));
  }

  std::string repetition(const Entry& entry, const FieldDescriptor* field,
                         std::map<const FieldDescriptor*, const Entry*>* seen,
                         std::map<const google::protobuf::OneofDescriptor*, const Entry*>* chosen) const {
    if (field->is_repeated()) return "";
    const auto [first, is_new] = seen->emplace(field, &entry);
    if (!is_new) return absl::StrCat("is given twice, first in line ", first->second->line, "; remove one.");
    if (field->real_containing_oneof() == nullptr) return "";
    const auto [other, is_first] = chosen->emplace(field->real_containing_oneof(), &entry);
    if (is_first) return "";
    return absl::StrCat("cannot stand beside ", other->second->name, " in line ", other->second->line,
                        "; a document has only one of them: remove the other.");
  }

  std::string entry_fault(const Entry& entry, const FieldDescriptor* field) const {
    const Value::Kind kind = entry.value.kind;
    if (!entry.stray.empty()) return stray_fault(entry, field);
    std::string text = literal_fault(field, entry.value, is_json_);
    const bool needs_colon = kind != Value::Kind::kBlock && kind != Value::Kind::kNone;
    if (text.empty() && needs_colon && !entry.has_colon) {
      return absl::StrCat("a colon is missing; write ", field->name(), ": ", excerpt(entry.value.text));
    }
    return text;
  }

  // "3 bar", "1500,5", "= 3".
  std::string stray_fault(const Entry& entry, const FieldDescriptor* field) const {
    const std::string value = excerpt(entry.value.text);
    const std::string stray = excerpt(entry.stray);
    if (entry.value.kind == Value::Kind::kNone) {
      return absl::StrCat("'", stray, "' stands where ", entry.has_colon ? "a value" : "a colon and a value",
                          " should; write ", field->name(), ": and the value.");
    }
    const v1::Quantity* quantity = quantity_of(field);
    if (entry.stray[0] == ',') {
      return absl::StrCat(value, stray, " has a decimal comma; write a point: ", value, ".", stray.substr(1));
    }
    if (quantity == nullptr || entry.value.kind != Value::Kind::kScalar) {
      return absl::StrCat("'", stray, "' after ", value, " belongs to nothing; remove it.");
    }
    if (squeezed(entry.stray) == squeezed(quantity->unit())) {
      return absl::StrCat("'", stray, "' after ", value, " must not be written; the value is in ",
                          quantity->unit(), " by definition: write ", field->name(), ": ", value);
    }
    return absl::StrCat("'", stray, "' after ", value, " must not be written; the value is a plain number",
                        quantity->unit() == "1" ? "" : " in " + quantity->unit(), ", from ",
                        range_text(*quantity), ": convert it and write the number alone.");
  }

  void inner_blocks(const Entry& entry, const FieldDescriptor* field, const Items& items,
                    const std::string& shown, const std::string& path) {
    if (field->message_type() == nullptr) return;
    if (!field->is_repeated()) {
      block(entry.value.entries, field->message_type(), shown, path);
      return;
    }
    const auto visit = [&](const Value& value) {
      const Item& item = items.at(&value);
      block(value.entries, field->message_type(), shown + item.shown, path + item.path);
    };
    if (entry.value.kind != Value::Kind::kList) visit(entry.value);
    for (const Value& item : entry.value.items) visit(item);
  }

  size_t end_;
  const Descriptor* root_;
  const std::string& file_;
  bool is_json_;
  Diagnosis out_;
};

// Goes down into the block around byte `at`; false when no entry here holds it.
bool locate_in(const std::vector<Entry>& entries, size_t at, const Descriptor* type, bool is_json,
               Located* out) {
  const Items items = label_items(entries, type, is_json);
  for (const Entry& entry : entries) {
    if (at < entry.begin || at >= entry.end) continue;
    out->entry = &entry;
    const FieldDescriptor* field = field_of(type, entry.name, is_json);
    if (field == nullptr) return true;
    out->shown = join_address(out->shown, field->name());
    out->path = join_address(out->path, field->name());
    if (field->message_type() == nullptr) return true;
    std::vector<const Value*> values;
    if (entry.value.kind != Value::Kind::kList) values.push_back(&entry.value);
    for (const Value& item : entry.value.items) values.push_back(&item);
    for (const Value* value : values) {
      Located inner = *out;
      const auto item = items.find(value);
      if (item != items.end()) {
        inner.shown += item->second.shown;
        inner.path += item->second.path;
      }
      if (!locate_in(value->entries, at, field->message_type(), is_json, &inner)) continue;
      *out = inner;
      break;
    }
    return true;
  }
  return false;
}

}  // namespace

Diagnosis diagnose(const Outline& outline, size_t end, const Descriptor* type, const std::string& file,
                   bool is_json) {
  Diagnoser diagnoser(end, type, file, is_json);
  diagnoser.block(outline.entries, type, "", "");
  return diagnoser.take();
}

Located locate(const Outline& outline, size_t at, const Descriptor* type, bool is_json) {
  Located located;
  locate_in(outline.entries, at, type, is_json, &located);
  return located;
}

}  // namespace brakeward::document
