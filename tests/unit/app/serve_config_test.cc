// What `serve` is told: every fault at once, and what a good document comes to.
#include "app/serve_config.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "files.h"
#include "temporary_folder.h"

namespace brakeward::app {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;

// A folder with a library folder and a configuration in it, gone when the test ends.
class ServeConfigTest : public testing::Test {
 protected:
  ServeConfigTest() { fs::create_directory(folder_ / "car"); }
  void write(const std::string& name, const std::string& text) const {
    tests::write_file(folder_ / name, text);
  }
  absl::StatusOr<ServeConfig> load(const std::string& text) const {
    write("service.textproto", "library_folders: \"car\"\n" + text);
    return load_serve_config(folder_ / "service.textproto");
  }
  std::string faults(const std::string& text) const { return std::string(load(text).status().message()); }

  const tests::TemporaryFolder home_;
  const fs::path folder_ = home_.path();
};

TEST_F(ServeConfigTest, FillsInWhatTheSchemaSays) {
  const auto config = load("");
  ASSERT_TRUE(config.ok()) << config.status();
  EXPECT_THAT(config->library_folders, testing::ElementsAre(folder_ / "car"));
  EXPECT_EQ(config->address.text(), "127.0.0.1:8640");
  ASSERT_TRUE(config->metrics);
  EXPECT_EQ(config->metrics->text(), "127.0.0.1:8641");
  EXPECT_FALSE(config->tls.wanted());
  EXPECT_EQ(config->store_file, "");
  EXPECT_EQ(config->limits.concurrent_runs, 1);
  EXPECT_EQ(config->limits.queued_runs, 32);
  EXPECT_EQ(config->limits.replays_per_run, 10000);
  EXPECT_EQ(config->message_kib, 4096);
  EXPECT_EQ(config->drain, std::chrono::seconds(20));
  EXPECT_EQ(config->retry_after, std::chrono::seconds(1));
}

TEST_F(ServeConfigTest, PathsStartAtItsFolder) {
  const auto config = load(
      "recordings_folder: \"car\" address: \"unix:sock\" metrics_address: \"off\" store_file: "
      "\"car/../h.db\" "
      "drain_s: 0.25 queued_runs: 0");
  ASSERT_TRUE(config.ok()) << config.status();
  EXPECT_EQ(config->recordings_folder, folder_ / "car");
  EXPECT_EQ(config->address.text(), "unix:" + (folder_ / "sock").string());
  EXPECT_FALSE(config->metrics);
  EXPECT_EQ(config->store_file, folder_ / "h.db");
  EXPECT_EQ(config->drain, std::chrono::milliseconds(250));
  EXPECT_EQ(config->limits.queued_runs, 0);
}

TEST_F(ServeConfigTest, ListsEveryFaultAtOnce) {
  write("not_pem", "nothing of the kind");
  const std::string said = faults(
      "library_folders: \"nowhere\" recordings_folder: \"neither\" address: \"0.0.0.0\" metrics_address: "
      "\"unix:x\" "
      "store_file: \"car\" tls { certificate_file: \"not_pem\" private_key_file: \"gone.pem\" "
      "client_authority_file: \"car\" } "
      "concurrent_runs: 0 drain_s: -1 colour: \"red\"");
  for (const char* expected :
       {"library_folders[1]: ", "nowhere: there is no such folder", "recordings_folder: ",
        "address: \"0.0.0.0\" has no port", "metrics_address: a unix socket cannot carry the metrics page",
        "store_file: ", "car is a folder", "tls.certificate_file: ", "holds no certificate in PEM form",
        "tls.private_key_file: ", "gone.pem: there is no such file", "car: cannot be read: Is a directory",
        "concurrent_runs: ", "drain_s: ", "colour"})
    EXPECT_THAT(said, HasSubstr(expected));
}

TEST_F(ServeConfigTest, ADocumentThatIsNotThereIsOneFault) {
  const auto config = load_serve_config(folder_ / "gone.textproto");
  EXPECT_EQ(config.status().code(), absl::StatusCode::kInvalidArgument);
  EXPECT_THAT(std::string(config.status().message()),
              testing::StartsWith((folder_ / "gone.textproto").string() + ": there is no such file"));
}

TEST_F(ServeConfigTest, PlaintextStaysOnThisMachineUnlessSaid) {
  for (const char* local : {"127.0.0.1:0", "127.9.9.9:1", "[::1]:0", "localhost:0", "unix:s"})
    EXPECT_EQ(faults(std::string("address: \"") + local + "\""), "") << local;
  for (const char* open : {"0.0.0.0:0", "[::]:0", "192.0.2.1:1", "brakes.example:8640", "128.0.0.1:1"}) {
    const std::string address = std::string("address: \"") + open + "\"";
    EXPECT_THAT(faults(address), HasSubstr("can be reached from other machines, and there is no TLS"))
        << open;
    EXPECT_EQ(faults(address + " plaintext_beyond_loopback: true"), "") << open;
  }
}

TEST_F(ServeConfigTest, CertificateAndKeyMustBeAPair) {
  const auto openssl = [&](const std::string& name) {
    const std::string at = (folder_ / name).string();
    return std::system(
        ("openssl req -x509 -newkey ec -pkeyopt ec_paramgen_curve:P-256 -nodes -subj /CN=localhost "
         "-days 2 -keyout " +
         at + ".key -out " + at + ".crt 2>/dev/null")
            .c_str());
  };
  ASSERT_EQ(openssl("a"), 0);
  ASSERT_EQ(openssl("b"), 0);
  const auto good = load(
      "address: \"0.0.0.0:0\" tls { certificate_file: \"a.crt\" private_key_file: \"a.key\" "
      "client_authority_file: \"b.crt\" }");
  ASSERT_TRUE(good.ok()) << good.status();
  EXPECT_THAT(good->tls.private_key, HasSubstr("PRIVATE KEY"));
  EXPECT_THAT(good->tls.client_authority, HasSubstr("BEGIN CERTIFICATE"));
  const std::string mixed = faults("tls { certificate_file: \"a.crt\" private_key_file: \"b.key\" }");
  EXPECT_THAT(mixed, HasSubstr("tls.private_key_file: "));
  EXPECT_THAT(mixed, HasSubstr("is not the key of the certificate"));
  EXPECT_THAT(faults("tls { certificate_file: \"a.crt\" }"), HasSubstr("tls.private_key_file"));
  EXPECT_THAT(faults("tls { certificate_file: \"a.crt\" private_key_file: \"a.crt\" }"),
              HasSubstr("holds no private key in PEM form"));
}

TEST_F(ServeConfigTest, ASocketsPathHasALength) {
  // Linux unix(7): sun_path has 108 bytes, with the zero at its end.
  EXPECT_THAT(faults("address: \"unix:" + std::string(108, 's') + "\""), HasSubstr("may have 107"));
  EXPECT_THAT(faults("address: \"unix:gone/s\""), HasSubstr("its folder is not there"));
}

}  // namespace
}  // namespace brakeward::app
