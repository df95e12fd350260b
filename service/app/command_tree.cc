#include "app/command_tree.h"

namespace brakeward::app {
namespace {

OptionEntry entry_of(const CLI::Option& option) {
  OptionEntry entry;
  entry.positional = option.get_positional();
  if (entry.positional) entry.names.push_back(option.get_name(/*positional=*/true));
  for (const std::string& name : option.get_lnames()) entry.names.push_back("--" + name);
  for (const std::string& name : option.get_snames()) entry.names.push_back("-" + name);
  entry.required = option.get_required();
  if (option.get_type_size_max() > 0) entry.value = option.get_type_name();
  entry.meaning = option.get_description();
  if (!option.get_default_str().empty()) entry.meaning += " (default: " + option.get_default_str() + ")";
  if (!option.get_envname().empty()) entry.meaning += " (environment: " + option.get_envname() + ")";
  return entry;
}

CommandEntry entry_of(const CLI::App& app, const std::string& path) {
  CommandEntry entry;
  entry.path = path;
  entry.description = app.get_description();
  for (const CLI::Option* option : app.get_options()) entry.options.push_back(entry_of(*option));
  for (const CLI::App* command : app.get_subcommands([](const CLI::App*) { return true; }))
    entry.commands.push_back(entry_of(*command, (path.empty() ? "" : path + " ") + command->get_name()));
  return entry;
}

}  // namespace

CommandEntry tree_of(const CLI::App& app) {
  return entry_of(app, "");
}

}  // namespace brakeward::app
