// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace cellgrade {

/// The program `cellgrade`: parses the command line, runs the chosen command, and turns every error
/// into one line on stderr and an exit code (see exit_code). The only place that catches.
int run_program(int argc, const char* const* argv);

} // namespace cellgrade
