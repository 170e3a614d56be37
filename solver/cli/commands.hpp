// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/cli/session.hpp"
#include "solver/cli/study.hpp"

#include <CLI/CLI.hpp>

#include <optional>
#include <string>
#include <vector>

namespace cellgrade {

/// Each adds one command to the program; the chosen one sets `session.action`.
void add_cells_command(CLI::App& program, Session& session);
void add_mesh_command(CLI::App& program, Session& session);
void add_stiffness_command(CLI::App& program, Session& session);
void add_crush_command(CLI::App& program, Session& session);
void add_table_command(CLI::App& program, Session& session);
void add_ask_command(CLI::App& program, Session& session);
void add_compare_command(CLI::App& program, Session& session);
void add_traits_command(CLI::App& program, Session& session);
void add_validate_command(CLI::App& program, Session& session);
void add_calibrate_command(CLI::App& program, Session& session);
void add_law_command(CLI::App& program, Session& session);
void add_drop_command(CLI::App& program, Session& session);
void add_impact_command(CLI::App& program, Session& session);
void add_cushion_command(CLI::App& program, Session& session);
void add_report_command(CLI::App& program, Session& session);
void add_choose_command(CLI::App& program, Session& session);
void add_handover_command(CLI::App& program, Session& session);
void add_verify_command(CLI::App& program, Session& session);

/// Whether a command has the shared flag --json or an option of its own by that name.
enum class JsonOption { Shared, Own };

/// A new command with its examples (a line each, runnable from the repository root) and the options
/// that all commands share.
CLI::App& new_command(CLI::App& program,
                      Session& session,
                      const std::string& name,
                      const std::string& purpose,
                      const std::string& examples,
                      JsonOption json = JsonOption::Shared);

/// Adds --cell, --polymer and --direction: which rows of a grade table. @return --cell
CLI::Option* add_selection_options(CLI::App& command,
                                   std::string& cell,
                                   std::string& polymer,
                                   std::vector<Index>& direction,
                                   const std::string& group);

/// Adds an option that names a file of results.
CLI::Option*
add_result_file(CLI::App& command, const char* name, std::string& file, const char* text);

/// Adds --json, --quiet and --threads.
void add_shared_options(CLI::App& command, Session& session, JsonOption json = JsonOption::Shared);

/// Adds --model beams|solid; `model` keeps its value without the option.
void add_model_option(CLI::App& command, std::optional<ModelKind>& model, const std::string& group);

} // namespace cellgrade
