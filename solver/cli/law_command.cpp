// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/commands.hpp"
#include "solver/cli/law_text.hpp"
#include "solver/core/publish.hpp"
#include "solver/core/units.hpp"
#include "solver/elements/thread_count.hpp"
#include "solver/grades/law_input.hpp"
#include "solver/results/grade_table_file.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <memory>

namespace cellgrade {

namespace {

struct LawOptions {
    std::string table, output, svg;
    GradeChoice choice;
    std::string polymer; ///< empty: the built-in card that the table names
    bool no_relaxation = false;
    bool prove = false;
};

PolymerCard polymer_of(const LawOptions& o, const GradeRow& row) {
    PolymerCard card;
    try {
        card = find_card(o.polymer.empty() ? row.grade.polymer : o.polymer);
    } catch (const Error& e) {
        if (!o.polymer.empty())
            throw;
        throw input_error("the table's polymer '{}' is no built-in card; give its card with "
                          "--polymer CARD.toml",
                          row.grade.polymer);
    }
    if (std::isfinite(row.grade.temperature_C))
        card = at_temperature(card, row.grade.temperature_C + units::zero_C);
    if (o.no_relaxation) {
        card.prony.clear();
        card.sources.erase("prony");
    }
    return card;
}

int run_law(const Session& session, const LawOptions& o) {
    for (const std::string* file : {&o.output, &o.svg})
        require_writable_folder(*file);
    use_threads(session.threads > 0 ? session.threads : 1); // a block is small
    const GradeTable table = read_grade_table(o.table);
    const GradeRow& row = chosen_row(table, o.choice);
    const GradeLawInput input = law_input(table, o.choice, polymer_of(o, row));
    LawReport report{.grade = grade_label(row.grade),
                     .test = input.compression,
                     .law = fit_grade_law(input),
                     .forms = {fit_rusch(row.curve, input.compression.to_strain),
                               fit_gibson(row.curve, input.compression.to_strain)},
                     .proof = {},
                     .sheared = {}};
    write_card(report.law.card, o.output);
    if (o.prove) {
        session.log().write(LogLevel::Phase, "crushing a block of the law to a strain of {:.3g}",
                            input.compression.to_strain);
        report.proof = prove_grade_law(report.law.card, input.compression, {.log = session.log()});
        for (const GradeTest& shear : input.shear)
            report.sheared.push_back(
                prove_grade_shear(report.law.card, shear, {.log = session.log()}));
    }
    if (!o.svg.empty())
        publish_text(o.svg, curve_plot_svg(law_plot(report)));
    print(session.json ? law_report_json(report) + "\n" : law_report_text(report));
    const bool trusted = std::all_of(report.sheared.begin(), report.sheared.end(),
                                     [](const BlockProof& p) { return p.record.trusted(); });
    return trusted && (!report.proof || report.proof->record.trusted()) ? exit_code::done
                                                                        : exit_code::not_trusted;
}

} // namespace

void add_law_command(CLI::App& program, Session& session) {
    CLI::App& command = new_command(
        program, session, "law",
        "Fit a hyperelastic law with densification to a grade of a table: a card for solids.",
        "  cellgrade table examples/04_grade_table/short.toml -o short.h5\n"
        "  cellgrade law short.h5 --cell body_centred --relative-density 0.12 -o law.toml\n"
        "  cellgrade law short.h5 --cell body_centred --relative-density 0.12 -o law.toml --prove "
        "--svg law.svg --json\n");
    auto o = std::make_shared<LawOptions>();
    command.add_option("GRADES.h5", o->table, "a grade table of `cellgrade table`")->required();
    command.add_option("--cell", o->choice.cell, "cell of the grade")
        ->type_name("NAME")
        ->required()
        ->group("Grade");
    command.add_option("--relative-density", o->choice.relative_density, "as in the table")
        ->type_name("SHARE")
        ->check(CLI::Range(std::numeric_limits<double>::min(), 1.0))
        ->required()
        ->group("Grade");
    command
        .add_option("--direction", o->choice.direction,
                    "crushed direction as the table writes it, [110]; without it [001]")
        ->type_name("[UVW]")
        ->group("Grade");
    command
        .add_option("--strain-rate", o->choice.strain_rate_per_s,
                    "of the fitted curve; without it the slowest")
        ->type_name("PER_S")
        ->group("Grade");
    command.add_option("--temperature", o->choice.temperature_C, "where the table has several")
        ->type_name("C")
        ->group("Grade");
    command
        .add_option("--polymer", o->polymer,
                    "card of the polymer, for relaxation and density; without it the built-in card "
                    "that the table names")
        ->type_name("CARD")
        ->group("Law");
    command
        .add_flag("--no-relaxation", o->no_relaxation,
                  "a law without rate, for the rate of the fitted curve alone")
        ->group("Law");
    command
        .add_flag("--prove", o->prove,
                  "crush a block of the law by the explicit solver and compare: seconds to minutes")
        ->group("Law");
    add_result_file(command, "-o,--output", o->output, "the law as a polymer card, TOML")
        ->required();
    add_result_file(command, "--svg", o->svg, "crush, law and block as a picture");
    command.callback(
        [&session, o] { session.action = [&session, o] { return run_law(session, *o); }; });
}

} // namespace cellgrade
