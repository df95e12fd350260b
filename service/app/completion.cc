#include "app/command.h"
#include "app/command_tree.h"

namespace brakeward::app {
namespace {

std::string last_word(const std::string& path) {
  const size_t blank = path.rfind(' ');
  return blank == path.npos ? path : path.substr(blank + 1);
}

// "path of what stands before/command" of every command, as alternatives of a case.
void put_words(const CommandEntry& entry, std::string& out) {
  for (const CommandEntry& command : entry.commands) {
    out += (out.empty() ? "'" : " | '") + entry.path + "/" + last_word(command.path) + "'";
    put_words(command, out);
  }
}

void put_choices(const CommandEntry& entry, std::string& out) {
  out += "    '" + entry.path + "') commands='";
  for (const CommandEntry& command : entry.commands) out += last_word(command.path) + " ";
  out += "' options='";
  for (const OptionEntry& option : entry.options)
    if (!option.positional)
      for (const std::string& name : option.names) out += name + " ";
  out += "' ;;\n";
  for (const CommandEntry& command : entry.commands) put_choices(command, out);
}

}  // namespace

std::string render_bash_completion(const CommandEntry& root) {
  std::string words, choices;
  put_words(root, words);
  put_choices(root, choices);
  return R"(# Completion of commands and options in bash, as `brakeward completion` prints it.
_brakeward() {
  local current=${COMP_WORDS[COMP_CWORD]} command='' commands='' options='' i
  for ((i = 1; i < COMP_CWORD; i++)); do
    case "$command/${COMP_WORDS[i]}" in
      )" +
         words +
         R"() command=${command:+$command }${COMP_WORDS[i]} ;;
    esac
  done
  case $command in
)" + choices +
         R"(  esac
  COMPREPLY=()
  if [[ $current == -* ]]; then
    mapfile -t COMPREPLY < <(compgen -W "$options" -- "$current")
  elif [[ -n $commands ]]; then
    mapfile -t COMPREPLY < <(compgen -W "$commands" -- "$current")
  fi
}
complete -o default -F _brakeward brakeward
)";
}

void add_completion(CLI::App& app, int* exit_code) {
  auto* command =
      app.add_subcommand("completion", "print a script that completes commands and options in bash");
  command->callback([&app, exit_code] {
    print(render_bash_completion(tree_of(app)));
    *exit_code = kPass;
  });
}

}  // namespace brakeward::app
