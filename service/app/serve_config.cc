#include "app/serve_config.h"

#include "app/serve_tls.h"
#include "brakeward/v1/service_config.pb.h"
#include "document/defaults.h"
#include "document/parse.h"
#include "verdict/concat.h"

namespace brakeward::app {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view kUsualAddress = "127.0.0.1:8640";
constexpr std::string_view kUsualMetricsAddress = "127.0.0.1:8641";

std::chrono::milliseconds milliseconds(double seconds) {
  return std::chrono::round<std::chrono::milliseconds>(std::chrono::duration<double>(seconds));
}

// Turns the checked document into a plain one and adds what the schema cannot say.
class Reader {
 public:
  Reader(const fs::path& file, const v1::ServiceConfig& message, document::Faults& faults)
      : file_(file.string()), base_(file.parent_path()), message_(message), faults_(faults) {}

  ServeConfig read() {
    ServeConfig out;
    for (int i = 0; i < message_.library_folders_size(); ++i)
      out.library_folders.push_back(
          folder(message_.library_folders(i), verdict::concat("library_folders[", i, "]")));
    if (!message_.recordings_folder().empty())
      out.recordings_folder = folder(message_.recordings_folder(), "recordings_folder");
    out.address = address();
    out.metrics = metrics();
    if (message_.has_tls()) out.tls = tls();
    out.store_file = store();
    out.plaintext_beyond_loopback = message_.plaintext_beyond_loopback();
    check_plaintext(out.address);
    out.reflection_beyond_loopback = message_.reflection_beyond_loopback();
    numbers(out);
    return out;
  }

 private:
  void fault(const std::string& address, std::string text) {
    faults_.add({file_, 0, 0, address, std::move(text)});
  }
  fs::path path(const std::string& text) const { return (base_ / text).lexically_normal(); }

  fs::path folder(const std::string& text, const std::string& address) {
    const fs::path out = path(text);
    std::error_code ignored;
    if (text.empty())
      fault(address, "is empty; name a folder or leave the entry out");
    else if (!fs::is_directory(out, ignored))
      fault(address,
            verdict::concat(out.string(), ": there is no such folder; relative paths start at the folder of ",
                            "this document"));
    return out;
  }

  rpc::Address address() {
    auto out = rpc::parse_address(message_.address().empty() ? kUsualAddress : message_.address());
    if (out.ok() && !out->socket.empty()) {
      out->socket = path(out->socket).string();
      folder_of(out->socket, "address");
      out = rpc::parse_address(out->text());  // its path may have become too long
    }
    if (out.ok()) return *std::move(out);
    fault("address", std::string(out.status().message()));
    return rpc::Address{"127.0.0.1", 0, {}};
  }

  std::optional<rpc::Address> metrics() {
    const std::string& text = message_.metrics_address();
    if (text == "off") return std::nullopt;
    auto out = rpc::parse_address(text.empty() ? kUsualMetricsAddress : text);
    if (!out.ok()) {
      fault("metrics_address", verdict::concat(std::string(out.status().message()), "; \"off\" for no page"));
      return std::nullopt;
    }
    if (!out->socket.empty())
      fault("metrics_address", "a unix socket cannot carry the metrics page; give host:port, or \"off\"");
    return *std::move(out);
  }

  rpc::TlsTexts tls() {
    const v1::Tls& from = message_.tls();
    // The schema asks for the two files.
    if (from.certificate_file().empty() || from.private_key_file().empty()) return {};
    const auto certificate =
        read_certificates(path(from.certificate_file()), file_, "tls.certificate_file", faults_);
    const auto key =
        read_private_key(path(from.private_key_file()), certificate, file_, "tls.private_key_file", faults_);
    std::optional<std::string> authority = "";
    if (!from.client_authority_file().empty())
      authority =
          read_certificates(path(from.client_authority_file()), file_, "tls.client_authority_file", faults_);
    if (!certificate || !key || !authority) return {};
    return {*certificate, *key, *authority};
  }

  fs::path store() {
    if (message_.store_file().empty()) return {};
    const fs::path out = path(message_.store_file());
    std::error_code ignored;
    if (fs::is_directory(out, ignored))
      fault("store_file", verdict::concat(out.string(), " is a folder; name a file in it"));
    else
      folder_of(out, "store_file");
    return out;
  }

  void folder_of(const fs::path& file, const std::string& address) {
    std::error_code ignored;
    const fs::path parent = file.parent_path();
    if (!parent.empty() && !fs::is_directory(parent, ignored))
      fault(address, verdict::concat(file.string(), ": its folder is not there; make it first"));
  }

  void check_plaintext(const rpc::Address& address) {
    if (message_.has_tls() || message_.plaintext_beyond_loopback()) return;
    if (std::string why = rpc::plaintext_fault(address); !why.empty()) fault("address", std::move(why));
  }

  void numbers(ServeConfig& out) const {
    out.limits.concurrent_runs = message_.concurrent_runs();
    out.limits.queued_runs = message_.queued_runs();
    out.limits.threads_per_run = message_.threads_per_run();
    out.limits.replays_per_run = message_.replays_per_run();
    out.message_kib = message_.message_kib();
    out.open_streams = message_.open_streams();
    out.drain = milliseconds(message_.drain_s());
    out.retry_after = milliseconds(message_.retry_after_s());
  }

  const std::string file_;
  const fs::path base_;
  const v1::ServiceConfig& message_;
  document::Faults& faults_;
};

}  // namespace

absl::StatusOr<ServeConfig> load_serve_config(const fs::path& file) {
  v1::ServiceConfig message;
  document::Faults faults = document::load(file, &message);
  const bool readable = faults.empty();
  document::resolve_defaults(&message);
  // What a document that has faults says is read all the same, so that one answer lists everything.
  if (!readable && message.ByteSizeLong() == 0) return faults.status();
  ServeConfig out = Reader(file, message, faults).read();
  if (!faults.empty()) return faults.status();
  return out;
}

}  // namespace brakeward::app
