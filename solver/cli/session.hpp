// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/error.hpp"
#include "solver/core/log.hpp"

#include <functional>
#include <string>
#include <vector>

namespace cellgrade {

/// Exit codes of the program, listed in every --help.
namespace exit_code {
inline constexpr int done = 0;        ///< done and within limits
inline constexpr int our_bug = 1;     ///< a defect of the program
inline constexpr int bad_input = 2;   ///< usage, file, key, option, or the system refused
inline constexpr int not_trusted = 3; ///< the run broke a limit or failed; results kept and marked
} // namespace exit_code

/// What every command shares: the options of all commands, and the action that the command line
/// chose.
struct Session {
    bool json = false;  ///< --json: one JSON document on stdout, also on failure
    bool quiet = false; ///< --quiet: errors only on stderr
    int threads = 0;    ///< --threads; 0 = all processors that this process may use
    std::vector<std::string> command_line; ///< as typed, for provenance
    std::function<int()> action;           ///< set by the chosen command; returns the exit code

    /// Log of phases to stderr; empty when quiet.
    [[nodiscard]] Log log() const;
    /// Threads to use: `threads`, else the processors of the affinity mask.
    [[nodiscard]] int n_threads() const;
};

/// Checks before a long run that a result can be written to `file` (nothing is, when empty): its
/// folder exists and may be written to. Error (input) that says which and why.
void require_writable_folder(const std::string& file);

/// Writes text to stdout; input Error with the system's reason when that fails (full disk, pipe).
void print(const std::string& text);

/// The error as one line on stderr, and with `json` as {"error": {...}} on stdout.
/// @param code the exit code, also told in the JSON
void report_error(const Error& error, bool json, int code);

} // namespace cellgrade
