#include "app/command.h"
#include "app/command_tree.h"

namespace brakeward::app {
namespace {

// Text that roff prints as it stands; a line end begins a new line of the page.
std::string roff(const std::string& text) {
  std::string out;
  bool starts = true;
  for (const char c : text) {
    if (starts && (c == '.' || c == '\'')) out += "\\&";
    starts = c == '\n';
    if (c == '\n') {
      out += "\n.br\n";
    } else if (c == '\\') {
      out += "\\e";
    } else if (c == '-') {
      out += "\\-";
    } else {
      out += c;
    }
  }
  return out;
}

std::string bold(const std::string& text) {
  return "\\fB" + roff(text) + "\\fR";
}

std::string italic(const std::string& text) {
  return "\\fI" + roff(text) + "\\fR";
}

void put_option(const OptionEntry& option, std::string& out) {
  out += ".TP\n";
  for (size_t i = 0; i < option.names.size(); ++i)
    out += (i == 0 ? "" : ", ") + (option.positional ? italic(option.names[i]) : bold(option.names[i]));
  if (!option.value.empty()) out += " " + italic(option.value);
  out += "\n" + roff(option.meaning) + (option.required ? " (required)\n" : "\n");
}

void put_command(const CommandEntry& command, std::string& out) {
  out += ".SS brakeward " + roff(command.path) + "\n" + roff(command.description) + "\n";
  for (const OptionEntry& option : command.options) put_option(option, out);
  for (const CommandEntry& below : command.commands) put_command(below, out);
}

}  // namespace

std::string render_manual(const CommandEntry& root, const std::string& version, const std::string& caution) {
  std::string out =
      ".TH BRAKEWARD 1 \"\" \"" + roff(version) +
      "\" \"User Commands\"\n.nh\n.ad l\n.SH NAME\nbrakeward \\- checks brake\\-by\\-wire calibrations\n"
      ".SH SYNOPSIS\n.B brakeward\n\\fIcommand\\fR [\\fIarguments\\fR]\n.SH DESCRIPTION\n" +
      roff(root.description) + "\n.SH OPTIONS\n";
  for (const OptionEntry& option : root.options) put_option(option, out);
  out += ".SH COMMANDS\n";
  for (const CommandEntry& command : root.commands) put_command(command, out);
  return out + ".SH CAUTION\n" + roff(caution) + "\n";
}

void add_manual(CLI::App& app, int* exit_code) {
  auto* command = app.add_subcommand("manual", "print the manual page, as source for man");
  command->callback([&app, exit_code] {
    print(render_manual(tree_of(app), app.version(), verdict::caution()));
    *exit_code = kPass;
  });
}

}  // namespace brakeward::app
