// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

namespace CLI {
class App;
}

namespace cellgrade {

/// Help of a command: usage, purpose, examples that run as they stand, options by group with their
/// defaults, exit codes.
[[nodiscard]] std::string full_help(const CLI::App& command, const std::string& name);

/// What `cellgrade` alone prints: usage and the commands, a line each.
[[nodiscard]] std::string short_help(const CLI::App& program);

/// The command line's own complaint in one line, with the nearest known name.
[[nodiscard]] std::string usage_complaint(const CLI::App& program, const std::string& what);

} // namespace cellgrade
