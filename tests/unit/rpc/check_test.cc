// Check and Replay over the wire, against the same use cases called in this process.
#include <gtest/gtest.h>

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>

#include "gate/run_message.h"
#include "gate/session.h"
#include "rpc/client.h"
#include "signal/observables.h"
#include "unit/rpc/calls.h"
#include "unit/rpc/served.h"

namespace brakeward::rpc {
namespace {

Connection to(Served& served) {
  Connection connection;
  connection.address = served.server().address();
  return connection;
}

verdict::Run run_here(const std::string& candidate) {
  gate::Options options;
  options.library = demo_library();
  options.calibration = demo_library() / "calibrations" / (candidate + ".textproto");
  auto run = gate::check(options);
  EXPECT_TRUE(run.ok()) << run.status();
  return run.ok() ? *run : verdict::Run{};
}

// Everything but what differs from run to run, bit for bit.
std::string bytes_of(verdict::Run run) {
  run.run_id.clear();
  run.finished_at.clear();
  run.duration_s = 0;
  return gate::to_message(run).SerializeAsString();
}

TEST(Check, AnswersWhatTheUseCaseAnswersBitForBit) {
  Served served;
  for (const std::string candidate : {"candidate_better", "candidate_bad_rise_rate"}) {
    const verdict::Run here = run_here(candidate);
    RemoteCheck check;
    check.library = "sorrel";
    check.calibration = calibration(candidate);
    std::vector<std::string> order;
    std::string accepted_id;
    Events events;
    events.accepted = [&](const std::string& id, int replays, int ahead) {
      accepted_id = id;
      EXPECT_GE(replays, static_cast<int>(here.scenarios.size()));
      EXPECT_EQ(ahead, 0);
    };
    events.scenario = [&](const verdict::ScenarioResult& s) { order.push_back(s.scenario); };
    const auto there = rpc::check(to(served), check, events);
    ASSERT_TRUE(there.ok()) << there.status();
    EXPECT_EQ(there->result_sha256, here.result_sha256);
    EXPECT_EQ(bytes_of(*there), bytes_of(here));
    EXPECT_EQ(there->run_id, accepted_id);
    EXPECT_FALSE(there->finished_at.empty());
    ASSERT_EQ(order.size(), here.scenarios.size());
    for (size_t i = 0; i < order.size(); ++i) EXPECT_EQ(order[i], here.scenarios[i].scenario);
    const auto kept = served.desk().history().run(there->run_id);
    ASSERT_TRUE(kept.ok()) << kept.status();
    EXPECT_EQ(bytes_of(*kept), bytes_of(here));
  }
}

TEST(Check, StreamsAcceptedThenScenariosInOrderThenCompleted) {
  Served served;
  const auto call = call_check(channel_to(served.server().address()), request_for(calibration("released")));
  ASSERT_TRUE(call.status.ok()) << call.status.error_message();
  ASSERT_GE(call.responses.size(), 3u);
  EXPECT_TRUE(call.responses.front().has_accepted());
  EXPECT_TRUE(call.responses.back().has_completed());
  const v1::CheckCompleted& completed = call.responses.back().completed();
  EXPECT_TRUE(completed.kept());
  EXPECT_EQ(completed.notice(), "");
  int scenarios = 0, progress = 0, last_done = 0;
  for (const auto& r : call.responses) {
    if (r.has_scenario()) {
      ASSERT_LT(scenarios, completed.run().scenarios_size());
      EXPECT_EQ(r.scenario().SerializeAsString(), completed.run().scenarios(scenarios).SerializeAsString());
      ++scenarios;
    }
    if (r.has_progress()) {
      EXPECT_GE(r.progress().replays_done(), last_done);
      last_done = r.progress().replays_done();
      ++progress;
    }
  }
  EXPECT_EQ(scenarios, completed.run().scenarios_size());
  EXPECT_GE(progress, 1);
}

TEST(Check, TakesVehicleAndBaselineInlineOrByHash) {
  Served served;
  const auto held = served.desk().libraries().find("sorrel");
  const auto channel = channel_to(served.server().address());
  const v1::CheckRequest plain = request_for(calibration("candidate_better"));
  v1::CheckRequest inline_documents = plain;
  *inline_documents.mutable_vehicle() =
      document<v1::Vehicle>(demo_library() / "vehicle" / "sorrel.textproto");
  *inline_documents.mutable_baseline() =
      document<v1::Baseline>(demo_library() / "baselines" / "corrie-r1.textproto");
  v1::CheckRequest by_hash = plain;
  by_hash.set_library_sha256(held->sha256);
  by_hash.set_vehicle_sha256(held->library->vehicle.sha256);
  by_hash.set_baseline_sha256(held->library->baseline->sha256);
  const std::string expected = run_here("candidate_better").result_sha256;
  for (const auto& request : {inline_documents, by_hash}) {
    const auto call = call_check(channel, request);
    ASSERT_TRUE(call.status.ok()) << call.status.error_message();
    EXPECT_EQ(call.responses.back().completed().run().result_sha256(), expected);
  }
  v1::CheckRequest released = plain;
  released.set_calibration_sha256(held->library->calibrations[0].sha256);
  const auto call = call_check(channel, released);
  ASSERT_TRUE(call.status.ok()) << call.status.error_message();
  EXPECT_EQ(call.responses.back().completed().run().result_sha256(), run_here("released").result_sha256);
}

TEST(Check, TellsEveryFaultOfTheRequestAtOnceWithItsAddress) {
  Served served;
  v1::CheckRequest request = request_for(calibration("released"));
  request.set_library("sorrel");
  request.set_library_sha256("abc");
  request.set_event_build("*");
  request.mutable_calibration()->mutable_hand_control()->set_dead_band_mm(-3);
  request.mutable_calibration()->mutable_hand_control()->set_low_pass_hz(std::nan(""));
  request.mutable_calibration()
      ->GetReflection()
      ->MutableUnknownFields(request.mutable_calibration())
      ->AddVarint(999, 1);
  const auto call = call_check(channel_to(served.server().address()), request);
  EXPECT_EQ(call.status.error_code(), grpc::StatusCode::INVALID_ARGUMENT);
  const Details details = details_of(call.status);
  EXPECT_EQ(details.reason, "INVALID_REQUEST");
  EXPECT_EQ(details.domain, "brakeward");
  EXPECT_EQ(details.metadata.at("faults"), "6");
  for (const char* field :
       {"library", "library_sha256", "event_build", "calibration.hand_control.dead_band_mm",
        "calibration.hand_control.low_pass_hz", "calibration"})
    EXPECT_EQ(details.violations.count(field), 1u) << field << "\n" << call.status.error_message();
  EXPECT_NE(details.violations.at("calibration.hand_control.dead_band_mm").find("mm"), std::string::npos);
  EXPECT_NE(call.status.error_message().find("calibration.hand_control.dead_band_mm: "), std::string::npos);

  RemoteCheck check;
  check.library = "sorrel";
  check.calibration = request.calibration();
  check.calibration.DiscardUnknownFields();
  const auto plain = rpc::check(to(served), check);
  EXPECT_EQ(plain.status().code(), absl::StatusCode::kInvalidArgument);
  EXPECT_EQ(std::count(plain.status().message().begin(), plain.status().message().end(), '\n'), 1)
      << "one line a violation: " << plain.status();
}

TEST(Check, NamesWhatIsHeldWhenSomethingIsNot) {
  Served served;
  const auto channel = channel_to(served.server().address());
  const std::string no_hash(64, 'a');
  const v1::CheckRequest good = request_for(calibration("released"));
  const auto expect = [&](const v1::CheckRequest& request, grpc::StatusCode code, const std::string& reason) {
    const auto call = call_check(channel, request);
    EXPECT_EQ(call.status.error_code(), code) << call.status.error_message();
    EXPECT_EQ(reason_of(call.status), reason);
    EXPECT_TRUE(call.responses.empty());
    return details_of(call.status).metadata;
  };
  v1::CheckRequest request = good;
  request.set_library("libraries/sorel");
  auto metadata = expect(request, grpc::StatusCode::NOT_FOUND, "LIBRARY_NOT_FOUND");
  EXPECT_EQ(metadata["existing"], "libraries/sorrel");
  EXPECT_EQ(metadata["nearest"], "libraries/sorrel");
  request = good;
  request.set_library_sha256(no_hash);
  metadata = expect(request, grpc::StatusCode::FAILED_PRECONDITION, "LIBRARY_CHANGED");
  EXPECT_EQ(metadata["held"], served.desk().libraries().find("sorrel")->sha256);
  request = good;
  request.set_calibration_sha256(no_hash);
  metadata = expect(request, grpc::StatusCode::NOT_FOUND, "CALIBRATION_NOT_FOUND");
  EXPECT_EQ(metadata["existing"].size(), 64u);
  request = good;
  request.set_vehicle_sha256(no_hash);
  expect(request, grpc::StatusCode::NOT_FOUND, "VEHICLE_NOT_FOUND");
  request = good;
  request.set_baseline_sha256(no_hash);
  expect(request, grpc::StatusCode::NOT_FOUND, "BASELINE_NOT_FOUND");
}

TEST(Check, RefusesABaselineThatDoesNotFit) {
  Served served;
  v1::CheckRequest request = request_for(calibration("released"));
  v1::Vehicle vehicle = document<v1::Vehicle>(demo_library() / "vehicle" / "sorrel.textproto");
  vehicle.set_provenance("another");
  *request.mutable_vehicle() = vehicle;
  const auto call = call_check(channel_to(served.server().address()), request);
  EXPECT_EQ(call.status.error_code(), grpc::StatusCode::FAILED_PRECONDITION) << call.status.error_message();
  const Details details = details_of(call.status);
  EXPECT_EQ(details.reason, "BASELINE_MISFIT");
  EXPECT_EQ(details.violations.count("baseline.vehicle_sha256"), 1u) << call.status.error_message();
  EXPECT_EQ(call.status.error_message().find(demo_library().string()), std::string::npos)
      << "no path of the server: " << call.status.error_message();
}

TEST(Check, RefusesMoreReplaysThanAreAllowed) {
  Serving how;
  how.desk.replays_per_run = 3;
  Served served(std::move(how));
  const auto call = call_check(channel_to(served.server().address()), request_for(calibration("released")));
  EXPECT_EQ(call.status.error_code(), grpc::StatusCode::FAILED_PRECONDITION);
  const Details details = details_of(call.status);
  EXPECT_EQ(details.reason, "TOO_MANY_REPLAYS");
  EXPECT_EQ(details.metadata.at("limit"), "3");
}

v1::ReplayRequest replay_request(const std::string& scenario) {
  v1::ReplayRequest request;
  request.set_library("libraries/sorrel");
  *request.mutable_calibration() = calibration("released");
  request.set_scenario(scenario);
  return request;
}

gate::ReplayOutcome replay_here(const std::string& scenario) {
  gate::Options options;
  options.library = demo_library();
  options.calibration = demo_library() / "calibrations" / "released.textproto";
  auto outcome = gate::replay_scenario(options, scenario);
  EXPECT_TRUE(outcome.ok()) << outcome.status();
  return outcome.ok() ? *std::move(outcome) : gate::ReplayOutcome{};
}

// Bit for bit; NaN where the engine has its mark for nothing recorded.
bool same_bits(double there, double here) {
  return here < -1e20 ? std::isnan(there)
                      : std::bit_cast<std::uint64_t>(there) == std::bit_cast<std::uint64_t>(here);
}

TEST(Replay, BringsEveryTickBitForBit) {
  Served served;
  const gate::ReplayOutcome here = replay_here("corrie_dry_60");
  const auto call = call_replay(channel_to(served.server().address()), replay_request("corrie_dry_60"));
  ASSERT_TRUE(call.status.ok()) << call.status.error_message();
  ASSERT_TRUE(call.responses.front().has_header());
  ASSERT_TRUE(call.responses.back().has_result());
  const auto& header = call.responses.front().header();
  ASSERT_EQ(header.signals_size(), signal::kObservableCount);
  for (int i = 0; i < signal::kObservableCount; ++i) {
    EXPECT_EQ(header.signals(i).name(), signal::kObservables[i].name);
    EXPECT_EQ(header.signals(i).unit(), signal::kObservables[i].unit);
  }
  EXPECT_EQ(header.row_count(), here.trace.ticks);
  std::vector<double> values;
  for (const auto& r : call.responses) {
    if (!r.has_rows()) continue;
    EXPECT_LE(r.ByteSizeLong(), 33u * 1024);
    EXPECT_EQ(r.rows().values_size() % signal::kObservableCount, 0);
    values.insert(values.end(), r.rows().values().begin(), r.rows().values().end());
  }
  ASSERT_EQ(values.size(), static_cast<size_t>(here.trace.ticks) * signal::kObservableCount);
  size_t different = 0;
  for (size_t i = 0; i < values.size(); ++i) different += !same_bits(values[i], here.trace.rows[i]);
  EXPECT_EQ(different, 0u);
  EXPECT_EQ(call.responses.back().result().SerializeAsString(),
            gate::to_message(here.result).SerializeAsString());
}

TEST(Replay, BringsTheSignalsWantedAtTheStrideWanted) {
  Served served;
  const gate::ReplayOutcome here = replay_here("ramp_hand");
  v1::ReplayRequest request = replay_request("ramp_hand");
  request.add_signals("speed");
  request.add_signals("time");
  request.set_stride(7);
  const auto call = call_replay(channel_to(served.server().address()), request);
  ASSERT_TRUE(call.status.ok()) << call.status.error_message();
  std::vector<double> values;
  for (const auto& r : call.responses)
    values.insert(values.end(), r.rows().values().begin(), r.rows().values().end());
  ASSERT_EQ(values.size(), 2 * static_cast<size_t>((here.trace.ticks + 6) / 7));
  EXPECT_EQ(call.responses.front().header().row_count(), static_cast<long>(values.size() / 2));
  constexpr int kTime = 0, kSpeed = 10;
  ASSERT_STREQ(signal::kObservables[kSpeed].name, "speed");
  for (size_t row = 0; row < values.size() / 2; ++row) {
    const size_t at = row * 7 * signal::kObservableCount;
    ASSERT_TRUE(same_bits(values[2 * row], here.trace.rows[at + kSpeed])) << row;
    ASSERT_TRUE(same_bits(values[2 * row + 1], here.trace.rows[at + kTime])) << row;
  }
}

TEST(Replay, NamesWhatIsNear) {
  Served served;
  const auto channel = channel_to(served.server().address());
  v1::ReplayRequest request = replay_request("ramp_hand");
  request.add_signals("sped");
  request.add_signals("qqqqqqqq");
  request.add_signals("time");
  request.add_signals("time");
  auto call = call_replay(channel, request);
  EXPECT_EQ(call.status.error_code(), grpc::StatusCode::INVALID_ARGUMENT);
  const Details details = details_of(call.status);
  EXPECT_EQ(details.reason, "INVALID_REQUEST");
  EXPECT_NE(details.violations.at("signals[0]").find("did you mean speed"), std::string::npos);
  EXPECT_NE(details.violations.at("signals[1]").find("pressure_front"), std::string::npos);
  EXPECT_NE(details.violations.at("signals[3]").find("twice"), std::string::npos);
  call = call_replay(channel, replay_request("ramp_hnd"));
  EXPECT_EQ(call.status.error_code(), grpc::StatusCode::NOT_FOUND);
  EXPECT_EQ(reason_of(call.status), "SCENARIO_NOT_FOUND");
  EXPECT_EQ(details_of(call.status).metadata.at("nearest"), "ramp_hand");
  request = replay_request("ramp_hand");
  request.set_stride(0);
  EXPECT_EQ(details_of(call_replay(channel, request).status).violations.count("stride"), 1u);
}

TEST(Client, SaysThatNobodyAnswers) {
  Connection connection;
  {
    Served served;
    connection = to(served);
  }
  RemoteCheck check;
  check.library = "sorrel";
  check.calibration = calibration("released");
  const absl::Status status = rpc::check(connection, check).status();
  EXPECT_EQ(status.code(), absl::StatusCode::kUnavailable);
  EXPECT_NE(status.message().find(connection.address), std::string::npos) << status;
  connection.address = "nowhere";
  EXPECT_EQ(rpc::check(connection, check).status().code(), absl::StatusCode::kInvalidArgument);
}

// A service that says what it is told to.
class LyingService : public v1::CheckService::Service {
 public:
  grpc::Status Check(grpc::ServerContext*, const v1::CheckRequest*,
                     grpc::ServerWriter<v1::CheckResponse>* writer) override {
    for (const auto& response : responses) writer->Write(response);
    return grpc::Status::OK;
  }
  std::vector<v1::CheckResponse> responses;
};

TEST(Client, DoesNotTrustAnAnswerThatContradictsItself) {
  Served served;
  const auto honest =
      call_check(channel_to(served.server().address()), request_for(calibration("candidate_better")))
          .responses;
  LyingService service;
  int port = 0;
  grpc::ServerBuilder builder;
  builder.AddListeningPort("127.0.0.1:0", grpc::InsecureServerCredentials(), &port);
  builder.RegisterService(&service);
  const auto server = builder.BuildAndStart();
  Connection connection;
  connection.address = "127.0.0.1:" + std::to_string(port);
  RemoteCheck check;
  check.library = "sorrel";
  const auto status_of = [&](const std::function<void(std::vector<v1::CheckResponse>&)>& change) {
    service.responses = honest;
    change(service.responses);
    return rpc::check(connection, check).status().code();
  };
  constexpr auto kLie = absl::StatusCode::kInternal;
  const auto run_of = [](std::vector<v1::CheckResponse>& all) {
    return all.back().mutable_completed()->mutable_run();
  };
  EXPECT_EQ(status_of([](auto&) {}), absl::StatusCode::kOk);
  EXPECT_EQ(status_of([](auto& all) { all.pop_back(); }), kLie) << "no final run";
  EXPECT_EQ(status_of([](auto& all) { all.push_back(all.back()); }), kLie) << "two of them";
  EXPECT_EQ(status_of([&](auto& all) { run_of(all)->set_calibration_sha256("0"); }), kLie);
  EXPECT_EQ(
      status_of([&](auto& all) { run_of(all)->mutable_scenarios(0)->mutable_measures(0)->set_value(1); }),
      kLie);
  EXPECT_EQ(status_of([&](auto& all) { run_of(all)->mutable_scenarios(0)->set_reason("other words"); }),
            kLie);
  EXPECT_EQ(status_of([](auto& all) { std::erase_if(all, [](const auto& r) { return r.has_scenario(); }); }),
            kLie);
  EXPECT_EQ(status_of([](auto& all) {
              const auto first =
                  std::find_if(all.begin(), all.end(), [](const auto& r) { return r.has_scenario(); });
              const auto other =
                  std::find_if(first + 1, all.end(), [](const auto& r) { return r.has_scenario(); });
              std::iter_swap(first, other);
            }),
            kLie)
      << "out of order";
}

}  // namespace
}  // namespace brakeward::rpc
