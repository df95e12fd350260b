// Damaged documents and logs at random: whatever happens to a file of the library, the program answers with
// an exit code of its own and never dies of a signal. The seed is fixed, so that a failure can be repeated.
#include <gtest/gtest.h>

#include <random>
#include <set>

#include "end_to_end/library_copy.h"

namespace brakeward::end_to_end {
namespace {

namespace fs = std::filesystem;

constexpr int kRounds = 400;

class Damage {
 public:
  explicit Damage(unsigned seed) : random_(seed) {}

  std::string on(std::string text) {
    for (int i = 1 + at_most(3); i > 0; --i) once(text);
    return text;
  }
  int at_most(int n) { return static_cast<int>(random_() % static_cast<unsigned>(n + 1)); }

 private:
  void once(std::string& text) {
    const size_t at = random_() % (text.size() + 1),
                 length = std::min<size_t>(random_() % 40, text.size() - at);
    switch (at_most(5)) {
      case 0:
        text.erase(at, length);
        break;
      case 1:
        text.insert(at, text.substr(at, length));
        break;
      case 2:
        text.insert(at, 1, static_cast<char>(random_()));
        break;
      case 3:
        text.resize(at);
        break;
      default:
        number(text, at);
    }
  }

  // Puts an odd number in place of the next one.
  void number(std::string& text, size_t at) {
    static const char* const kOdd[] = {"0",    "-0", "1e308", "-1e308", "1e-320", "nan",
                                       "inf",  "-1", "1e9",   "1e400",  "0x10",   "99999999999999999999",
                                       "1e-6", "7"};
    const size_t begin = text.find_first_of("0123456789", at);
    if (begin == std::string::npos) return;
    const size_t end = text.find_first_not_of("0123456789.eE+-", begin);
    text.replace(begin, (end == std::string::npos ? text.size() : end) - begin, kOdd[at_most(13)]);
  }

  std::mt19937 random_;
};

TEST(Damage, NeverEndsTheProgramBySignal) {
  LibraryCopy library;
  library.keep({"step_hand", "millrace_open_track"});
  library.make_baseline();
  const std::vector<std::string> files = {
      library.index(),
      library.released(),
      library.vehicle(),
      library.baseline(),
      library.file("scenarios/step_hand.textproto"),
      library.file("scenarios/millrace_open_track.textproto"),
      library.file("recordings/millrace_open_track.textproto"),
      library.file("recordings/logger.textproto"),
      library.file("recordings/millrace_open_track.csv"),
  };
  // So that a changed log gets past its hash, and a changed document past the baseline, half of the time.
  library.change<v1::Recording>(library.file("recordings/millrace_open_track.textproto"),
                                [](v1::Recording& r) { r.clear_file_sha256(); });
  library.make_baseline();
  const std::set<int> answers = {0, 1, 2, 3, 65};
  std::set<int> seen;
  Damage damage(20240607);
  for (int round = 0; round < kRounds; ++round) {
    const std::string& file = files[static_cast<size_t>(damage.at_most(static_cast<int>(files.size()) - 1))];
    const std::string whole = read_file(file), index = read_file(library.index());
    if (round % 2 == 0)
      library.change<v1::Library>(library.index(), [](v1::Library& l) { l.clear_baseline_file(); });
    const std::string before = read_file(file);
    write_file(file, damage.on(before));
    const Outcome outcome = library.check(library.released());
    ASSERT_EQ(outcome.signal, 0) << "round " << round << " " << file << "\n"
                                 << outcome.err << read_file(file);
    ASSERT_TRUE(answers.count(outcome.exit_code))
        << "round " << round << ": " << outcome.exit_code << outcome.err;
    ASSERT_EQ(outcome.exit_code == 65, outcome.out.empty()) << "round " << round << outcome.err;
    ASSERT_EQ(outcome.exit_code == 65, !outcome.err.empty()) << "round " << round << outcome.err;
    seen.insert(outcome.exit_code);
    write_file(file, whole);
    write_file(library.index(), index);
  }
  EXPECT_TRUE(seen.count(65) && seen.size() > 1) << "damage that always or never matters tests nothing";
}

}  // namespace
}  // namespace brakeward::end_to_end
