// LibraryService, and the refusals that need a history that fails or a library that cannot be replayed.
#include <gtest/gtest.h>

#include "document/check.h"
#include "document/parse.h"
#include "gate/session.h"
#include "unit/rpc/calls.h"
#include "unit/rpc/served.h"

namespace brakeward::rpc {
namespace {

using Library = v1::LibraryService;

template <class Request, class Response>
using Method = grpc::Status (Library::StubInterface::*)(grpc::ClientContext*, const Request&, Response*);

// A service and one call to it.
class LibraryCalls : public testing::Test {
 protected:
  explicit LibraryCalls(Serving how = {})
      : served(std::move(how)), stub(Library::NewStub(channel_to(served.server().address()))) {}

  template <class Request, class Response>
  Response call(Method<Request, Response> method, const Request& request) {
    grpc::ClientContext context;
    Response response;
    status = (stub.get()->*method)(&context, request, &response);
    return response;
  }
  template <class Request, class Response>
  Response get(Method<Request, Response> method, const std::string& name) {
    Request request;
    request.set_name(name);
    return call(method, request);
  }

  Served served;
  std::unique_ptr<Library::StubInterface> stub;
  grpc::Status status;
};

TEST_F(LibraryCalls, ListAndGetSayTheSameOfALibrary) {
  const auto held = served.desk().libraries().find("sorrel");
  const auto list = call(&Library::StubInterface::ListLibraries, v1::ListLibrariesRequest());
  ASSERT_TRUE(status.ok()) << status.error_message();
  ASSERT_EQ(list.libraries_size(), 1);
  EXPECT_EQ(list.next_page_token(), "");
  EXPECT_FALSE(list.libraries(0).has_vehicle());
  auto entry = get(&Library::StubInterface::GetLibrary, "libraries/sorrel").library();
  ASSERT_TRUE(status.ok()) << status.error_message();
  EXPECT_EQ(entry.vehicle().SerializeAsString(), held->library->vehicle.message.SerializeAsString());
  entry.clear_vehicle();
  EXPECT_EQ(entry.SerializeAsString(), list.libraries(0).SerializeAsString());
  EXPECT_EQ(entry.name(), "libraries/sorrel");
  EXPECT_EQ(entry.sha256(), gate::library_sha256(*held->library));
  EXPECT_EQ(entry.vehicle_sha256(), held->library->vehicle.sha256);
  EXPECT_EQ(entry.baseline_sha256(), held->library->baseline->sha256);
  EXPECT_EQ(entry.baseline_event_build(), held->library->baseline->message.event_build());
  EXPECT_EQ(entry.scenario_count(), static_cast<int>(held->library->scenarios.size()));
}

TEST_F(LibraryCalls, PagesOfScenariosCoverThemOnceInOrder) {
  const auto held = served.desk().libraries().find("sorrel");
  for (int size : {1, 4, 1000}) {
    std::vector<std::string> names;
    v1::ListScenariosRequest request;
    request.set_parent("libraries/sorrel");
    request.set_page_size(size);
    do {
      const auto page = call(&Library::StubInterface::ListScenarios, request);
      ASSERT_TRUE(status.ok()) << status.error_message();
      EXPECT_LE(page.scenarios_size(), size);
      for (const auto& s : page.scenarios()) names.push_back(s.name());
      request.set_page_token(page.next_page_token());
    } while (!request.page_token().empty());
    ASSERT_EQ(names.size(), held->library->scenarios.size());
    for (size_t i = 0; i < names.size(); ++i)
      EXPECT_EQ(names[i], "libraries/sorrel/scenarios/" + held->library->scenarios[i].message.name());
  }
  for (const auto& s : held->library->scenarios) {
    const auto entry =
        get(&Library::StubInterface::GetScenario, "libraries/sorrel/scenarios/" + s.message.name())
            .scenario();
    ASSERT_TRUE(status.ok()) << status.error_message();
    EXPECT_EQ(entry.sha256(), gate::scenario_sha256(*held->library, s));
    EXPECT_EQ(entry.scenario().SerializeAsString(), s.message.SerializeAsString());
  }
}

TEST_F(LibraryCalls, RefuseTokensOfOtherListsAndPageSizesThatCannotBe) {
  v1::ListScenariosRequest request;
  request.set_parent("libraries/sorrel");
  request.set_page_size(3);
  const std::string token = call(&Library::StubInterface::ListScenarios, request).next_page_token();
  ASSERT_FALSE(token.empty());
  for (const std::string& bad :
       {std::string("x"), "0" + token, token + "0", token.substr(1), std::string(99, 'f')}) {
    request.set_page_token(bad);
    call(&Library::StubInterface::ListScenarios, request);
    EXPECT_EQ(status.error_code(), grpc::StatusCode::INVALID_ARGUMENT) << bad;
    EXPECT_EQ(reason_of(status), "INVALID_PAGE_TOKEN");
    EXPECT_EQ(details_of(status).violations.count("page_token"), 1u);
  }
  v1::ListCalibrationsRequest other;
  other.set_parent("libraries/sorrel");
  other.set_page_token(token);
  call(&Library::StubInterface::ListCalibrations, other);
  EXPECT_EQ(reason_of(status), "INVALID_PAGE_TOKEN");
  for (int size : {-1, 1001}) {
    request.clear_page_token();
    request.set_page_size(size);
    call(&Library::StubInterface::ListScenarios, request);
    EXPECT_EQ(reason_of(status), "INVALID_REQUEST");
    EXPECT_EQ(details_of(status).violations.count("page_size"), 1u) << size;
  }
  request.Clear();
  call(&Library::StubInterface::ListScenarios, request);
  EXPECT_EQ(details_of(status).violations.count("parent"), 1u) << status.error_message();
}

TEST_F(LibraryCalls, NameWhatThereIsWhenNothingIsFound) {
  get(&Library::StubInterface::GetLibrary, "libraries/sorel");
  EXPECT_EQ(status.error_code(), grpc::StatusCode::NOT_FOUND);
  EXPECT_EQ(details_of(status).metadata.at("nearest"), "libraries/sorrel");
  get(&Library::StubInterface::GetScenario, "libraries/sorrel/scenarios/step_hnd");
  EXPECT_EQ(reason_of(status), "SCENARIO_NOT_FOUND");
  EXPECT_EQ(details_of(status).metadata.at("nearest"), "step_hand");
  get(&Library::StubInterface::GetCalibration, "libraries/sorrel/calibrations/released2");
  EXPECT_EQ(reason_of(status), "CALIBRATION_NOT_FOUND");
  EXPECT_EQ(details_of(status).metadata.at("existing"), "released");
  get(&Library::StubInterface::GetBaseline, "libraries/sorrel/baselines/0");
  EXPECT_EQ(reason_of(status), "BASELINE_NOT_FOUND");
  get(&Library::StubInterface::GetScenario, "libraries/sorrel");
  EXPECT_EQ(reason_of(status), "INVALID_REQUEST");
}

TEST_F(LibraryCalls, JoinTheLibrarysBaselineWithTheHistorys) {
  const auto own = served.desk().libraries().find("sorrel")->library->baseline;
  std::vector<std::string> kept = {own->sha256};
  for (int i = 0; i < 4; ++i) {
    v1::Baseline older = own->message;
    older.set_event_build("older-" + std::to_string(i));
    const std::string hash(64, static_cast<char>('a' + i));
    kept.push_back(hash);
    ASSERT_TRUE(served.desk().history().keep_baseline("sorrel", older, hash).ok());
    ASSERT_TRUE(
        served.desk().history().keep_baseline("elsewhere", older, std::string(64, char('1' + i))).ok());
  }
  for (int size : {1, 2, 50}) {
    std::vector<std::string> found;
    v1::ListBaselinesRequest request;
    request.set_parent("libraries/sorrel");
    request.set_page_size(size);
    do {
      const auto page = call(&Library::StubInterface::ListBaselines, request);
      ASSERT_TRUE(status.ok()) << status.error_message();
      EXPECT_LE(page.baselines_size(), size);
      for (const auto& b : page.baselines()) {
        EXPECT_EQ(b.current(), b.sha256() == own->sha256);
        found.push_back(b.sha256());
      }
      request.set_page_token(page.next_page_token());
    } while (!request.page_token().empty());
    EXPECT_EQ(found.front(), own->sha256);
    std::sort(found.begin(), found.end());
    std::vector<std::string> all = kept;
    std::sort(all.begin(), all.end());
    EXPECT_EQ(found, all) << size;
  }
  const auto entry =
      get(&Library::StubInterface::GetBaseline, "libraries/sorrel/baselines/" + kept[2]).baseline();
  ASSERT_TRUE(status.ok()) << status.error_message();
  EXPECT_EQ(entry.event_build(), "older-1");
  EXPECT_EQ(entry.baseline().event_build(), "older-1");
  get(&Library::StubInterface::GetBaseline, "libraries/sorrel/baselines/" + std::string(64, '1'));
  EXPECT_EQ(reason_of(status), "BASELINE_NOT_FOUND") << "another library's";
}

constexpr const char* kSecret = "/srv/secret/history.db";

// A store whose disk has failed, and which says where it was.
class BrokenStore : public store::Store {
 public:
  static absl::Status broken() { return absl::InternalError(std::string(kSecret) + ": disk I/O error"); }
  absl::Status put_run(const store::RunRow&) override { return broken(); }
  absl::StatusOr<store::RunRow> get_run(const std::string&) override { return broken(); }
  absl::StatusOr<store::Page<store::RunRow>> list_runs(const store::Query&) override { return broken(); }
  absl::StatusOr<std::vector<store::RunRow>> newest_of_builds(const std::string&, int) override {
    return broken();
  }
  absl::StatusOr<store::RunRow> anchor_build(const std::string&) override { return broken(); }
  absl::StatusOr<std::int64_t> count_runs() override { return broken(); }
  absl::Status put_event(const store::EventRow&) override { return broken(); }
  absl::StatusOr<store::Page<store::EventRow>> list_events(int, const std::string&) override {
    return broken();
  }
  absl::Status put_baseline(const store::BaselineRow&) override { return broken(); }
  absl::StatusOr<store::BaselineRow> get_baseline(const std::string&) override { return broken(); }
  absl::StatusOr<store::Page<store::BaselineRow>> list_baselines(const store::Query&) override {
    return broken();
  }
  absl::Status checkpoint() override { return broken(); }
};

class BrokenHistory : public LibraryCalls {
 protected:
  static Serving broken() {
    Serving how;
    how.store = std::make_unique<BrokenStore>();
    return how;
  }
  BrokenHistory() : LibraryCalls(broken()) {}
  v1::CheckRequest request() {
    v1::CheckRequest request;
    request.set_library("libraries/sorrel");
    *request.mutable_calibration() =
        served.desk().libraries().find("sorrel")->library->calibrations[0].message;
    return request;
  }
};

TEST_F(BrokenHistory, IsToldWithoutThePathOfItsFile) {
  v1::ListBaselinesRequest list;
  list.set_parent("libraries/sorrel");
  call(&Library::StubInterface::ListBaselines, list);
  EXPECT_EQ(status.error_code(), grpc::StatusCode::INTERNAL);
  EXPECT_EQ(reason_of(status), "HISTORY_FAILED");
  EXPECT_EQ(status.error_message().find("secret"), std::string::npos) << status.error_message();
  const auto channel = channel_to(served.server().address());
  const auto variant = call_check(channel, request());
  ASSERT_TRUE(variant.status.ok()) << variant.status.error_message();
  const auto& completed = variant.responses.back().completed();
  EXPECT_FALSE(completed.kept());
  EXPECT_FALSE(completed.notice().empty());
  EXPECT_EQ(completed.notice().find("secret"), std::string::npos) << completed.notice();
  v1::CheckRequest build = request();
  build.set_event_build("corrie-r2");
  const auto marked = call_check(channel, build);
  EXPECT_EQ(marked.status.error_code(), grpc::StatusCode::UNAVAILABLE);
  EXPECT_EQ(reason_of(marked.status), "RUN_NOT_KEPT");
  EXPECT_EQ(
      marked.status.error_message(),
      "the run of event build \"corrie-r2\" came to the verdict pass but could not be kept; the service "
      "could not keep the run; whoever runs it finds why in its log and metrics");
  EXPECT_EQ(marked.status.error_details().find("secret"), std::string::npos);
}

// What only shows when a scenario is made ready: two faults of one track.
TEST(Faults, OfTheLibrarysDocumentsNameThemAsTheLibraryDoes) {
  TemporaryFolder home;
  const auto folder = home.path() / "car";
  std::filesystem::copy(demo_library(), folder, std::filesystem::copy_options::recursive);
  std::string index = read_file(folder / "library.textproto");
  for (const char* field : {"baseline_file:", "campaign_files:"})
    for (size_t line; (line = index.find(field)) != std::string::npos;)
      index.erase(line, index.find('\n', line) - line);
  write_file(folder / "library.textproto", index);
  const auto file = folder / "scenarios" / "step_hand.textproto";
  const std::string fault =
      "faults { kind: FAULT_KIND_TRACK_OFFSET track: REQUEST_TRACK_HAND_B start_s: 0.2 end_s: 0.4 "
      "offset_volts: "
      "0.4 }\n";
  write_file(file, read_file(file) + fault + fault);
  Serving how;
  how.libraries = {folder};
  Served served(std::move(how));
  v1::CheckRequest request;
  request.set_library("libraries/sorrel");
  *request.mutable_calibration() = served.desk().libraries().find("sorrel")->library->calibrations[0].message;
  const auto call = call_check(channel_to(served.server().address()), request);
  EXPECT_EQ(call.status.error_code(), grpc::StatusCode::INVALID_ARGUMENT) << call.status.error_message();
  EXPECT_EQ(reason_of(call.status), "CANNOT_REPLAY");
  EXPECT_EQ(details_of(call.status).violations.count("scenarios/step_hand.textproto"), 1u)
      << call.status.error_message();
  EXPECT_EQ(call.status.error_message().find(home.path().string()), std::string::npos);
  EXPECT_EQ(call.status.error_details().find(home.path().string()), std::string::npos);
}

}  // namespace
}  // namespace brakeward::rpc
