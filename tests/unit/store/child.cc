#include "unit/store/child.h"

#include <sys/wait.h>
#include <unistd.h>

#include <cerrno>

#include "store/concat.h"

namespace brakeward::store {
namespace {

constexpr uid_t kNobody = 65534;  // by custom

}  // namespace

Child start_child(const std::function<void(int output)>& work) {
  int ends[2];
  if (::pipe(ends) != 0) return {};
  const pid_t id = ::fork();
  if (id == 0) {
    ::close(ends[0]);
    work(ends[1]);
    ::_exit(0);
  }
  ::close(ends[1]);
  return {id, ends[0]};
}

std::string in_child(const std::function<std::string()>& work) {
  const Child child = start_child([&](int output) {
    const std::string answer = work();
    if (::write(output, answer.data(), answer.size()) < 0) ::_exit(1);
  });
  std::string answer;
  char buffer[4096];
  for (;;) {
    const ssize_t size = ::read(child.output, buffer, sizeof buffer);
    if (size < 0 && errno == EINTR) continue;
    if (size <= 0) break;
    answer.append(buffer, static_cast<std::size_t>(size));
  }
  ::close(child.output);
  int status = 0;
  if (child.id < 0 || ::waitpid(child.id, &status, 0) != child.id || status != 0) {
    return concat("child ended with status ", status, ": ", answer);
  }
  return answer;
}

bool drop_rights() {
  if (::geteuid() != 0) return true;
  return ::setgid(kNobody) == 0 && ::setuid(kNobody) == 0;
}

}  // namespace brakeward::store
