// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/help.hpp"

#include "solver/core/suggest.hpp"

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <vector>

namespace cellgrade {

namespace {

constexpr std::size_t left_column = 34;

const char* exit_codes =
    "Exit codes:\n"
    "  0  done and within limits\n"
    "  1  a defect of the program\n"
    "  2  wrong usage or input, or a file cannot be read or written\n"
    "  3  the run failed or broke a limit; what was computed is kept and marked\n";

std::string option_name(const CLI::Option& option) {
    std::string name =
        option.get_positional() ? option.get_name(true) : option.get_name(false, true);
    std::replace(name.begin(), name.end(), ',', ' ');
    if (!option.get_positional() && option.get_expected_max() > 0)
        name += " " + option.get_type_name().substr(0, option.get_type_name().find(':'));
    return name;
}

std::string option_line(const CLI::Option& option) {
    std::string text = option.get_description();
    if (option.get_required() && !option.get_positional())
        text += " (required)";
    if (!option.get_default_str().empty())
        text += " [default " + option.get_default_str() + "]";
    const std::string name = option_name(option);
    if (name.size() + 3 > left_column)
        return fmt::format("  {}\n{:{}}{}\n", name, "", left_column, text);
    return fmt::format("  {:<{}}{}\n", name, left_column - 2, text);
}

std::string option_groups(const CLI::App& command) {
    std::string text;
    std::string positionals;
    for (const CLI::Option* option : command.get_options())
        if (option->get_positional())
            positionals += option_line(*option);
    if (!positionals.empty())
        text += "\nInput:\n" + positionals;
    for (const std::string& group : command.get_groups()) {
        std::string lines;
        for (const CLI::Option* option : command.get_options())
            if (option->nonpositional() && option->get_group() == group)
                lines += option_line(*option);
        if (!lines.empty() && !group.empty())
            text += "\n" + group + ":\n" + lines;
    }
    return text;
}

std::string command_lines(const CLI::App& program) {
    std::string text;
    for (const CLI::App* command : program.get_subcommands({}))
        text += fmt::format("  {:<12}{}\n", command->get_name(), command->get_description());
    return text;
}

std::string usage_line(const CLI::App& command) {
    const CLI::App* parent = command.get_parent();
    if (parent == nullptr)
        return "Usage: cellgrade COMMAND [OPTIONS]\n";
    std::string text = "Usage: cellgrade " + command.get_name();
    for (const CLI::Option* option : command.get_options())
        if (option->get_positional())
            text += option->get_required() ? " " + option->get_name(true)
                                           : " [" + option->get_name(true) + "]";
    return text + " [OPTIONS]\n";
}

} // namespace

std::string full_help(const CLI::App& command, const std::string&) {
    std::string text = usage_line(command) + command.get_description() + "\n";
    if (!command.get_footer().empty())
        text += "\nExamples:\n" + command.get_footer();
    if (command.get_parent() == nullptr)
        text += "\nCommands:\n" + command_lines(command);
    return text + option_groups(command) + "\n" + exit_codes;
}

std::string short_help(const CLI::App& program) {
    return usage_line(program) + "\n" + command_lines(program) +
           "\n`cellgrade COMMAND --help` tells the options of a command, with examples.\n";
}

std::string usage_complaint(const CLI::App& program, const std::string& what) {
    const std::vector<std::string> extras = program.remaining(true);
    if (extras.empty())
        return what;
    const std::string& name = extras.front();
    const std::vector<CLI::App*> chosen = program.get_subcommands();
    std::vector<std::string> known;
    if (name.starts_with("-")) {
        const CLI::App& command = chosen.empty() ? program : *chosen.front();
        for (const CLI::Option* option : command.get_options())
            if (option->nonpositional())
                known.push_back("--" + option->get_lnames().front());
        return fmt::format("unknown option '{}'{}", name, did_you_mean(name, known));
    }
    if (!chosen.empty())
        return fmt::format("'{}' is one argument too many for {}; see cellgrade {} --help", name,
                           chosen.front()->get_name(), chosen.front()->get_name());
    for (const CLI::App* command : program.get_subcommands({}))
        known.push_back(command->get_name());
    return fmt::format("unknown command '{}'{}", name, did_you_mean(name, known));
}

} // namespace cellgrade
