#include "store/page_token.h"

#include "unit/store/samples.h"

namespace brakeward::store {
namespace {

TEST(PageToken, GoesThereAndBack) {
  const std::string scope = list_scope("run", {"sorrel", "*", 50, ""});
  for (Position position :
       {Position{0, 1}, Position{-1, 2}, Position{1'700'000'000'123, 1LL << 40}, kStart}) {
    const absl::StatusOr<Position> back = page_start(scope, page_token(scope, position));
    ASSERT_THAT(back, Succeeds());
    EXPECT_EQ(*back, position);
  }
  EXPECT_EQ(*page_start(scope, ""), kStart);
}

TEST(PageToken, FieldsOfTheScopeDoNotRunTogether) {
  EXPECT_NE(list_scope("run", {"ab", "c", 50, ""}), list_scope("run", {"a", "bc", 50, ""}));
  EXPECT_NE(list_scope("run", {"", "a", 50, ""}), list_scope("run", {"a", "", 50, ""}));
  EXPECT_EQ(list_scope("run", {"a", "b", 50, ""}), list_scope("run", {"a", "b", 9, "x"}));
}

TEST(PageToken, EveryChangedLetterIsNoticed) {
  const std::string scope = list_scope("run", {});
  const std::string token = page_token(scope, {123, 456});
  for (std::size_t i = 0; i < token.size(); ++i) {
    std::string changed = token;
    changed[i] = changed[i] == 'A' ? 'B' : 'A';
    EXPECT_THAT(page_start(scope, changed), Fails(absl::StatusCode::kInvalidArgument, "next_page_token"))
        << i;
  }
  EXPECT_THAT(page_start(scope, token.substr(0, 20)),
              Fails(absl::StatusCode::kInvalidArgument, token.substr(0, 20)));
  EXPECT_THAT(page_start(scope, std::string("\0\n", 2)),
              Fails(absl::StatusCode::kInvalidArgument, "'\\x00\\n'"));
}

}  // namespace
}  // namespace brakeward::store
