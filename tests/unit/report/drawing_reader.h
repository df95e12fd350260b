// Reads a drawing of a page back, by the numbers beside its axes.
#pragma once

#include <gtest/gtest.h>

#include <regex>
#include <string>
#include <vector>

namespace brakeward::report {

struct ReadPoint {
  double x = 0, y = 0;  // of a drawing without numbers along the horizontal axis x is in its own units
  std::string title;
};

class ReadDrawing {
 public:
  // The first drawing whose description begins so.
  ReadDrawing(const std::string& page, const std::string& description) {
    const size_t at = page.find("aria-label=\"" + description);
    if (at == std::string::npos) {
      ADD_FAILURE() << "no drawing of " << description;
      return;
    }
    text_ = page.substr(at, page.find("</svg>", at) - at);
    x_ = axis(std::regex("<text x=\"([-0-9.]+)\" y=\"[-0-9.]+\" class=\"mid\">([-0-9.]+)</text>"));
    y_ = axis(
        std::regex("<text x=\"[-0-9.]+\" y=\"([-0-9.]+)\" dy=\"0.35em\" class=\"end\">([-0-9.]+)</text>"));
  }

  // Markers of a style: "candidate", "baseline right", "dot candidate".
  std::vector<ReadPoint> markers(const std::string& style) const {
    std::vector<ReadPoint> out;
    const std::string begin = "<g class=\"marker " + style + "\">";
    const std::regex marker(
        "<(?:circle cx=\"([-0-9.]+)\" cy=\"([-0-9.]+)\" r=\"[0-9.]+\"|path d=\"M([-0-9.]+) "
        "([-0-9.]+)m[^\"]*\")"
        "(?:/>|><title>([^<]*)</title>)");
    for (size_t at = text_.find(begin); at != std::string::npos; at = text_.find(begin, at + 1)) {
      const std::string group = text_.substr(at, text_.find("</g>", at) - at);
      for (std::sregex_iterator m(group.begin(), group.end(), marker), end; m != end; ++m) {
        const bool circle = (*m)[1].matched;
        out.push_back(
            {x_.value(std::stod((*m)[circle ? 1 : 3])), y_.value(std::stod((*m)[circle ? 2 : 4])), (*m)[5]});
      }
    }
    return out;
  }
  // Of what is read: marker and both ends of an axis are written to a tenth of the drawing's unit.
  double x_resolution() const { return 0.15 * std::abs(x_.slope); }
  double y_resolution() const { return 0.15 * std::abs(y_.slope); }
  const std::string& text() const { return text_; }

 private:
  struct Axis {
    double slope = 1, zero = 0;
    double value(double position) const { return slope * position + zero; }
  };

  Axis axis(const std::regex& tick) const {
    std::vector<std::pair<double, double>> ticks;
    for (std::sregex_iterator m(text_.begin(), text_.end(), tick), end; m != end; ++m)
      ticks.emplace_back(std::stod((*m)[1]), std::stod((*m)[2]));
    if (ticks.size() < 2) return {};
    const auto [p0, v0] = ticks.front();
    const auto [p1, v1] = ticks.back();
    const double slope = (v1 - v0) / (p1 - p0);
    return {slope, v0 - slope * p0};
  }

  std::string text_;
  Axis x_, y_;
};

}  // namespace brakeward::report
