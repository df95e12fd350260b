// How a service comes up, or says why not; its addresses; its libraries anew.
#include <gtest/gtest.h>
#include <sysexits.h>

#include <csignal>

#include "end_to_end/library_copy.h"
#include "end_to_end/service/service.h"

namespace brakeward::end_to_end {
namespace {

namespace fs = std::filesystem;

class Start : public testing::Test {
 protected:
  std::string file(const std::string& name) const { return folder_.path() / name; }
  std::string folder_of(const std::string& name) const {
    fs::create_directory(file(name));
    return file(name);
  }
  static std::string sorrel() { return "library_folders: \"" + demo_library() + "\"\n"; }
  // The end of a service that cannot start, or a check of its configuration.
  Outcome serve(const std::string& config, std::vector<std::string> more = {}) const {
    more.insert(more.begin(), {"serve", "--config", write_config(folder_of("other"), config)});
    return run(more);
  }

  TemporaryFolder folder_;
};

TEST_F(Start, ASecondServiceOnTheSamePortIsUnavailable) {
  const Service first(folder_.path(), sorrel());
  const Outcome rpc = serve(sorrel() + "address: \"" + first.rpc() + "\"");
  EXPECT_EQ(rpc.exit_code, EX_UNAVAILABLE) << rpc.err;
  EXPECT_NE(rpc.err.find(first.rpc()), std::string::npos) << rpc.err;
  EXPECT_NE(rpc.err.find("metrics page: stopped"), std::string::npos) << "what was started is stopped";
  EXPECT_EQ(rpc.out, "") << "never ready";
  const Outcome metrics = serve(sorrel() + "metrics_address: \"" + first.metrics() + "\"");
  EXPECT_EQ(metrics.exit_code, EX_UNAVAILABLE) << metrics.err;
  EXPECT_NE(metrics.err.find(first.metrics()), std::string::npos) << metrics.err;
}

TEST_F(Start, ASecondServiceOnTheSameStoreIsUnavailable) {
  const std::string store = "store_file: \"" + file("history.db") + "\"\n";
  Service first(folder_.path(), sorrel() + store);
  const Outcome second = serve(sorrel() + store);
  EXPECT_EQ(second.exit_code, EX_UNAVAILABLE) << second.err;
  EXPECT_NE(second.err.find("another service keeps its history"), std::string::npos) << second.err;
  EXPECT_EQ(first.stop().exit_code, 0);
  const Service third(folder_of("third"), sorrel() + store);
  EXPECT_TRUE(third.is_ready()) << "the store is free again";
}

TEST_F(Start, AUnixSocketIsAnAddress) {
  Service service(folder_.path(), sorrel() + "address: \"unix:sock\"\nmetrics_address: \"off\"");
  EXPECT_EQ(service.rpc(), "unix:" + file("sock"));
  EXPECT_EQ(service.metrics(), "off");
  EXPECT_EQ(service.check("sorrel", demo_calibration("candidate_better")).exit_code, 0);
  const Outcome second = serve(sorrel() + "address: \"unix:" + file("sock") + "\"");
  EXPECT_EQ(second.exit_code, EX_UNAVAILABLE) << second.err;
  EXPECT_EQ(service.check("sorrel", demo_calibration("candidate_better")).exit_code, 0)
      << "the first goes on";
  EXPECT_EQ(service.stop().exit_code, 0);
  {
    Service again(folder_.path(), sorrel() + "address: \"unix:sock\"");
    EXPECT_TRUE(again.is_ready());
    again.signal(SIGKILL);
    again.end();
  }
  const Service last(folder_.path(), sorrel() + "address: \"unix:sock\"");
  EXPECT_TRUE(last.is_ready()) << "what a killed service left does not stand in the way";
}

TEST_F(Start, CheckConfigSaysWhatItWouldDo) {
  const std::string config =
      sorrel() + "store_file: \"history.db\"\naddress: \"127.0.0.1:1\"";  // a port of root's
  const Outcome good = serve(config, {"--check-config"});
  EXPECT_EQ(good.exit_code, 0) << good.err;
  for (const char* said : {"library sorrel: ", "would take calls at 127.0.0.1:1, plaintext",
                           "would show metrics at ", "history.db", "would replay up to 1 at a time"})
    EXPECT_NE(good.out.find(said), std::string::npos) << said << "\n" << good.out;
  EXPECT_FALSE(fs::exists(file("other/history.db"))) << "opens nothing for writing";
  EXPECT_FALSE(fs::exists(file("other/history.db.lock")));
}

TEST_F(Start, CheckConfigListsEveryFault) {
  const Outcome config =
      serve("library_folders: \"gone\"\naddress: \"8640\"\nqueued_runs: -3", {"--check-config"});
  EXPECT_EQ(config.exit_code, EX_DATAERR);
  for (const char* said : {"library_folders[0]: ", "address: ", "queued_runs: "})
    EXPECT_NE(config.err.find(said), std::string::npos) << said << "\n" << config.err;
  LibraryCopy library;
  library.set_value(library.released(), "low_pass_hz", "-1");
  library.set_value(library.vehicle(), "mass_kg", "-1");
  const std::string bad = "library_folders: \"" + library.folder().string() + "\"\n";
  for (const auto& more : {std::vector<std::string>{"--check-config"}, {}}) {
    const Outcome outcome = serve(bad, more);
    EXPECT_EQ(outcome.exit_code, EX_DATAERR) << outcome.err;
    EXPECT_NE(outcome.err.find("low_pass_hz"), std::string::npos) << outcome.err;
    EXPECT_NE(outcome.err.find("mass_kg"), std::string::npos) << outcome.err;
  }
  EXPECT_EQ(run({"serve"}).exit_code, EX_USAGE);
  EXPECT_EQ(run({"serve", "--config", file("gone.textproto")}).exit_code, EX_DATAERR);
}

TEST_F(Start, ALibraryWithFaultsIsNotLoadedAnewAndTheOldOneStays) {
  LibraryCopy library;
  library.keep({"step_hand"});
  library.make_baseline();
  const std::string good = read_file(library.released());
  write_file(file("candidate.textproto"), good);
  Service service(folder_.path(), "library_folders: \"" + library.folder().string() + "\"");
  const auto scenarios = [&] {
    const Outcome outcome =
        service.check("sorrel", file("candidate.textproto"), {"--json", file("run.json")});
    EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
    return run_from_json(read_file(file("run.json"))).scenarios_size();
  };
  EXPECT_EQ(scenarios(), 1);

  library.set_value(library.released(), "low_pass_hz", "-1");
  library.set_value(library.vehicle(), "mass_kg", "-1");
  const std::string vehicle = read_file(library.vehicle());
  service.signal(SIGHUP);
  EXPECT_TRUE(poll_until([&] { return service.has_logged("is refused; the content loaded before stays"); }));
  EXPECT_TRUE(service.has_logged("low_pass_hz")) << service.log();
  EXPECT_TRUE(service.has_logged("mass_kg")) << "every fault";
  EXPECT_EQ(scenarios(), 1);

  LibraryCopy fresh;
  write_file(library.vehicle(), read_file(fresh.vehicle()));
  write_file(library.released(), good);
  library.keep({"step_hand", "ramp_hand"});
  library.make_baseline();
  service.signal(SIGHUP);
  EXPECT_TRUE(poll_until([&] { return service.has_logged("loaded anew"); })) << service.log();
  EXPECT_EQ(scenarios(), 2);
  service.signal(SIGHUP);
  EXPECT_TRUE(poll_until([&] { return service.has_logged("is as it was"); }));
  EXPECT_EQ(service.stop().exit_code, 0);
}

// Certificates as openssl(1) makes them; RFC 5280 for what they say.
class Tls : public Start {
 protected:
  void SetUp() override {
    if (!is_installed("openssl")) GTEST_SKIP() << "openssl is not installed (package openssl)";
    for (const char* authority : {"authority", "stranger"})
      openssl({"req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256", "-nodes", "-days", "2",
               "-subj", std::string("/CN=") + authority, "-keyout", file(std::string(authority) + ".key"),
               "-out", file(std::string(authority) + ".crt")});
    sign("server", "authority");
    sign("client", "authority");
    sign("intruder", "stranger");
  }
  void openssl(std::vector<std::string> command) const {
    command.insert(command.begin(), "openssl");
    const Outcome outcome = run_other(command);
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
  }
  void sign(const std::string& name, const std::string& authority) const {
    openssl({"req", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256", "-nodes", "-subj", "/CN=" + name,
             "-keyout", file(name + ".key"), "-out", file(name + ".csr")});
    write_file(file("names"), "subjectAltName=DNS:localhost,IP:127.0.0.1\n");
    openssl({"x509", "-req", "-in", file(name + ".csr"), "-CA", file(authority + ".crt"), "-CAkey",
             file(authority + ".key"), "-CAcreateserial", "-days", "2", "-extfile", file("names"), "-out",
             file(name + ".crt")});
  }
  std::vector<std::string> as(const std::string& client, const std::string& authority = "authority") const {
    std::vector<std::string> out = {"--tls-authority", file(authority + ".crt"), "--brief", "--deadline",
                                    "20"};
    if (!client.empty())
      out.insert(out.end(), {"--tls-certificate", file(client + ".crt"), "--tls-key", file(client + ".key")});
    return out;
  }
};

TEST_F(Tls, WithoutClientCertificatesServesWhoTrustsIt) {
  Service service(folder_.path(),
                  sorrel() + "tls { certificate_file: \"server.crt\" private_key_file: \"server.key\" }");
  const std::string candidate = demo_calibration("candidate_better");
  EXPECT_EQ(service.check("sorrel", candidate, as("")).exit_code, 0);
  EXPECT_EQ(service.check("sorrel", candidate, as("", "stranger")).exit_code, EX_UNAVAILABLE);
  EXPECT_EQ(service.check("sorrel", candidate, {"--deadline", "20"}).exit_code, EX_UNAVAILABLE)
      << "plaintext";
  const Outcome gone = service.check("sorrel", candidate, {"--tls-authority", file("gone.crt")});
  EXPECT_EQ(gone.exit_code, EX_DATAERR) << gone.err;
  EXPECT_NE(gone.err.find("gone.crt"), std::string::npos);
}

TEST_F(Tls, MutualServesOnlyWhomItKnows) {
  Service service(folder_.path(),
                  sorrel() +
                      "tls { certificate_file: \"server.crt\" private_key_file: \"server.key\" "
                      "client_authority_file: \"authority.crt\" }");
  const std::string candidate = demo_calibration("candidate_better");
  EXPECT_EQ(service.check("sorrel", candidate, as("client")).exit_code, 0);
  EXPECT_EQ(service.check("sorrel", candidate, as("")).exit_code, EX_UNAVAILABLE);
  EXPECT_EQ(service.check("sorrel", candidate, as("intruder")).exit_code, EX_UNAVAILABLE);
  EXPECT_EQ(service.check("sorrel", candidate, as("client")).exit_code, 0) << "it goes on";
  EXPECT_EQ(service.stop().exit_code, 0);
}

// The whole way to a dashboard: two event builds, asked for in Prometheus.
TEST(Dashboards, SeeTwoEventBuilds) {
  if (!is_installed("prometheus")) GTEST_SKIP() << "prometheus is not installed (package prometheus)";
  const TemporaryFolder folder;
  Service service(folder.path(), "library_folders: \"" + demo_library() + "\"\nstore_file: \"history.db\"");
  EXPECT_EQ(service.check("sorrel", demo_calibration("released"), {"--event-build", "b1"}).exit_code, 0);
  EXPECT_EQ(
      service.check("sorrel", demo_calibration("candidate_bad_rise_rate"), {"--event-build", "b2"}).exit_code,
      1);
  const std::string scripts = std::string(BRAKEWARD_SOURCE_DIR) + "/tests/end_to_end/metrics/prometheus.py";
  const std::string builds = "count by (build) (brakeward_delay_seconds)";
  const std::string failed = "max by (build) (brakeward_verdict{build=\"b2\",verdict=\"fail\"})";
  const Outcome seen = run_other({"python3", "-B", scripts, service.metrics(), builds, failed});
  EXPECT_EQ(seen.exit_code, 0) << seen.out << seen.err;
  EXPECT_NE(seen.out.find("{\"build\": \"b1\"}"), std::string::npos) << seen.out;
  EXPECT_NE(seen.out.find("{\"build\": \"b2\"}, 1.0]"), std::string::npos) << seen.out;
  EXPECT_EQ(service.stop().exit_code, 0);
}

}  // namespace
}  // namespace brakeward::end_to_end
