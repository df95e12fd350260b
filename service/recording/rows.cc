#include "recording/rows.h"

#include <algorithm>

namespace brakeward::recording {
namespace {

// Something counted over the lines of a file.
struct Tally {
  size_t count = 0;
  size_t first_line = 0;

  void note(size_t line) {
    if (count++ == 0) first_line = line;
  }
};

class RowReader {
 public:
  RowReader(const Columns& columns, Findings& findings)
      : columns_(columns), findings_(findings), used_(columns.channels.size() + 1) {
    rows_.values.resize(columns.channels.size());
  }

  void read(std::string_view line, size_t number) {
    line_ = number;
    const size_t start = line.find_first_not_of(" \t\r");
    if (start == std::string_view::npos) {
      blank_.note(number);
      return;
    }
    if (line[start] == '#') {
      findings_.fault("line ", number, ": comment lines are not read: delete the line");
      return;
    }
    if (!split_cells(line, columns_.delimiter, cells_)) {
      findings_.fault("line ", number,
                      ": a quoted cell is not closed on its line, or not followed by the delimiter");
      return;
    }
    if (cells_.size() == columns_.count + 1 && cells_.back().empty()) {
      cells_.pop_back();
      trailing_.note(number);
    }
    if (cells_.size() != columns_.count) {
      ragged();
    } else if (!is_text_row()) {
      take_row();
    }
  }

  Rows finish() {
    if (commas_.count > 0 && points_.count > 0) {
      findings_.fault("line ", commas_.first_line, ": decimal commas, but decimal points from line ",
                      points_.first_line,
                      " on: write all numbers with a decimal point and no thousands separator");
    }
    report(commas_, "cell", " with a decimal comma read as numbers");
    report(trailing_, "row", " with a delimiter after their last cell accepted");
    // A blank line at the very end is how many files end: no repair.
    if (blank_.count > 0 && !rows_.line.empty() && blank_.first_line < rows_.line.back()) {
      report(blank_, "blank line", " skipped");
    }
    return std::move(rows_);
  }

 private:
  void report(const Tally& tally, std::string_view singular, std::string_view what) {
    if (tally.count == 0) return;
    findings_.repair("from line ", tally.first_line, ": ", counted(tally.count, singular), what);
  }

  void ragged() {
    const bool first = !decimal_comma_told_;
    decimal_comma_told_ = decimal_comma_told_ || looks_like_decimal_commas();
    std::string_view remedy;
    if (first && decimal_comma_told_) {
      remedy =
          ": decimal commas cannot be told from delimiters here: export with decimal points, or with ';' or "
          "tab as delimiter";
    } else if (cells_.size() < columns_.count) {
      remedy = ": the row was cut off: complete or delete it";
    } else {
      remedy = ": a cell that holds the delimiter must stand in double quotes";
    }
    findings_.fault("line ", line_, ": ", cells_.size(), " cells, but the header has ", columns_.count,
                    remedy);
  }

  bool looks_like_decimal_commas() const {
    const bool may_be = cells_.size() > columns_.count && cells_.size() <= 2 * columns_.count;
    if (columns_.delimiter != ',' || !may_be) return false;
    return std::all_of(cells_.begin(), cells_.end(), [](std::string_view cell) {
      const Cell value = read_cell(cell, false);
      return value.kind == CellKind::kNumber && !value.decimal_point;
    });
  }

  // Reads the mapped cells; tells and drops a row of words, such as units under the header.
  bool is_text_row() {
    const bool comma = columns_.delimiter != ',';
    bool words = true;
    for (size_t i = 0; i < used_.size(); ++i) {
      used_[i] = read_cell(cells_[column(i).index], comma);
      words = words && used_[i].kind == CellKind::kText;
    }
    if (!words) return false;
    findings_.fault("line ", line_, ": no numbers in the mapped columns (",
                    in_quotes(cells_[columns_.time.index]),
                    " in the time column): a row of units or remarks is not read: delete it");
    return true;
  }

  void take_row() {
    const double time = value(0);
    for (size_t i = 1; i < used_.size(); ++i) {
      const double x = value(i);
      if (time != kFaulty) rows_.values[i - 1].push_back(x);
    }
    if (time == kFaulty) return;
    rows_.time.push_back(time);
    rows_.line.push_back(static_cast<uint32_t>(line_));
  }

  double value(size_t i) {
    const Cell& cell = used_[i];
    if (cell.decimal_comma) commas_.note(line_);
    if (cell.decimal_point) points_.note(line_);
    switch (cell.kind) {
      case CellKind::kNumber:
        return cell.value;
      case CellKind::kMissing:
        return i == 0 ? fault(i, "is no time: complete the cell or delete the row") : kMissing;
      case CellKind::kInfinite:
        return fault(i, "is not finite: empty the cell if the sensor gave nothing");
      case CellKind::kTooLarge:
        return fault(i, "is beyond the range of a double");
      case CellKind::kText:
        break;
    }
    const bool comma =
        columns_.delimiter == ',' && cells_[column(i).index].find(',') != std::string_view::npos;
    return fault(
        i, comma ? "is not a number: write a decimal point and no thousands separator" : "is not a number");
  }

  double fault(size_t i, std::string_view what) {
    const Column& c = column(i);
    findings_.fault(place(line_, c.name, c.number()), ": ", in_quotes(cells_[c.index]), " ", what);
    return kFaulty;
  }

  const Column& column(size_t i) const { return i == 0 ? columns_.time : columns_.channels[i - 1]; }

  const Columns& columns_;
  Findings& findings_;
  Rows rows_;
  std::vector<std::string_view> cells_;  // of the line at hand
  std::vector<Cell> used_;               // its time, then its channels
  size_t line_ = 0;
  Tally commas_;
  Tally points_;
  Tally trailing_;
  Tally blank_;
  bool decimal_comma_told_ = false;
};

}  // namespace

Rows read_rows(Lines& lines, const Columns& columns, Findings& findings) {
  RowReader reader(columns, findings);
  std::string_view line;
  while (lines.next(line)) reader.read(line, lines.number());
  return reader.finish();
}

}  // namespace brakeward::recording
