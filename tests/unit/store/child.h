// Work done in a process of its own: one that may be killed, limited or stripped of its rights.
#pragma once

#include <sys/types.h>

#include <functional>
#include <string>

namespace brakeward::store {

// What the work returns, or what ended the child. The work must not look at stores that are open here.
std::string in_child(const std::function<std::string()>& work);

// A child that goes on until it returns or is killed. What it writes to the file descriptor it is given is
// read from `output`.
struct Child {
  pid_t id = -1;
  int output = -1;
};
Child start_child(const std::function<void(int output)>& work);

// Gives up root's rights for this process; true when it had none to begin with.
bool drop_rights();

}  // namespace brakeward::store
