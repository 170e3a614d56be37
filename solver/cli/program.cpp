// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/program.hpp"

#include "solver/cli/commands.hpp"
#include "solver/cli/help.hpp"
#include "solver/cli/version.hpp"

#include <algorithm>
#include <csignal>
#include <exception>
#include <new>
#include <span>
#include <string>
#include <string_view>

namespace cellgrade {

namespace {

void build_command_line(CLI::App& program, Session& session) {
    program.description("Which lattice cell at which density absorbs a given impact inside the "
                        "thickness available.");
    program.footer(
        "  cellgrade cells\n"
        "  cellgrade crush examples/01_first_crush/study.toml -o crush.h5 --csv curve.csv\n");
    program.require_subcommand(0, 1);
    program.formatter_fn([](const CLI::App* command, const std::string& name, CLI::AppFormatMode) {
        return full_help(*command, name);
    });
    program.set_help_flag("-h,--help", "print this help");
    program.set_version_flag("--version", version_line(),
                             "print version, commit, compiler, instruction set, HDF5");
    add_shared_options(program, session);
    add_cells_command(program, session);
    add_mesh_command(program, session);
    add_stiffness_command(program, session);
    add_crush_command(program, session);
    add_table_command(program, session);
    add_ask_command(program, session);
    add_compare_command(program, session);
    add_traits_command(program, session);
    add_validate_command(program, session);
    add_calibrate_command(program, session);
    add_law_command(program, session);
    add_drop_command(program, session);
    add_impact_command(program, session);
    add_cushion_command(program, session);
    add_choose_command(program, session);
    add_report_command(program, session);
    add_handover_command(program, session);
    add_verify_command(program, session);
}

/// Parses; returns an exit code when there is nothing left to do, else a negative number.
int parse(CLI::App& program, Session& session, int argc, const char* const* argv) {
    try {
        program.parse(argc, argv);
    } catch (const CLI::CallForHelp&) {
        print(program.help());
        return exit_code::done;
    } catch (const CLI::CallForVersion&) {
        print(version_line() + "\n");
        return exit_code::done;
    } catch (const CLI::ParseError& e) {
        throw input_error("{}", usage_complaint(program, e.what()));
    }
    if (!session.action) {
        std::fputs(short_help(program).c_str(), stderr);
        if (session.json)
            throw input_error("a command is needed");
        return exit_code::bad_input;
    }
    return -1;
}

int run(Session& session, int argc, const char* const* argv) {
    CLI::App program;
    build_command_line(program, session);
    const int settled = parse(program, session, argc, argv);
    return settled >= 0 ? settled : session.action();
}

} // namespace

CLI::App& new_command(CLI::App& program,
                      Session& session,
                      const std::string& name,
                      const std::string& purpose,
                      const std::string& examples,
                      JsonOption json) {
    CLI::App& command = *program.add_subcommand(name, purpose);
    command.footer(examples);
    add_shared_options(command, session, json);
    return command;
}

CLI::Option* add_selection_options(CLI::App& command,
                                   std::string& cell,
                                   std::string& polymer,
                                   std::vector<Index>& direction,
                                   const std::string& group) {
    CLI::Option* const first =
        command.add_option("--cell", cell, "cell of the table")->type_name("NAME")->group(group);
    command.add_option("--polymer", polymer, "polymer, where the table has several")
        ->type_name("NAME")
        ->group(group);
    command.add_option("--direction", direction, "crushed direction of the cell, three numbers")
        ->type_name("H K L")
        ->expected(3)
        ->group(group)
        ->default_str("0 0 1");
    return first;
}

CLI::Option*
add_result_file(CLI::App& command, const char* name, std::string& file, const char* text) {
    return command.add_option(name, file, text)->type_name("FILE")->group("Results");
}

void add_model_option(CLI::App& command,
                      std::optional<ModelKind>& model,
                      const std::string& group) {
    command
        .add_option_function<std::string>(
            "--model",
            [&model](const std::string& name) {
                model = name == "solid" ? ModelKind::Solid : ModelKind::Beams;
            },
            "beams or solid tetrahedra; without it beams where the cell has struts, or as the "
            "study "
            "says")
        ->type_name("beams|solid")
        ->check(CLI::IsMember({"beams", "solid"}))
        ->group(group);
}

void add_shared_options(CLI::App& command, Session& session, JsonOption json) {
    if (json == JsonOption::Shared)
        command.add_flag("--json", session.json, "print one JSON document, also on failure")
            ->group("All commands");
    command.add_flag("-q,--quiet", session.quiet, "no log and no progress, errors only")
        ->group("All commands");
    command
        .add_option("--threads", session.threads,
                    "threads to use; results have the same bits for any number")
        ->type_name("N")
        ->check(CLI::Range(1, 1024))
        ->group("All commands");
}

int run_program(int argc, const char* const* argv) {
    std::signal(SIGXFSZ, SIG_IGN); // a file too large is then a failed write with its reason
    Session session;
    const std::span<const char* const> words(argv, static_cast<std::size_t>(argc));
    session.command_line.assign(words.begin(), words.end());
    // The command line itself may be what is wrong, so --json is looked for by hand.
    const bool json = std::any_of(words.begin(), words.end(), [](const char* word) {
        return std::string_view(word) == "--json";
    });
    try {
        return run(session, argc, argv);
    } catch (const Error& e) {
        const int code = e.fault() == Fault::Input ? exit_code::bad_input : exit_code::not_trusted;
        report_error(e, json, code);
        return code;
    } catch (const std::bad_alloc&) {
        report_error(input_error("not enough memory; ask for fewer tiles or frames"), json,
                     exit_code::bad_input);
        return exit_code::bad_input;
    } catch (const std::exception& e) {
        report_error(input_error("defect of the program: {}", e.what()), json, exit_code::our_bug);
        return exit_code::our_bug;
    }
}

} // namespace cellgrade
