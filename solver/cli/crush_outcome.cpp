// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/crush_outcome.hpp"

#include "solver/core/units.hpp"
#include "solver/crush/run_crush.hpp"
#include "solver/crush/setup_notes.hpp"
#include "solver/grades/trait_fields.hpp"
#include "solver/homogenize/beam_validity.hpp"
#include "solver/homogenize/crush_traits.hpp"
#include "solver/homogenize/polymer_modulus.hpp"
#include "solver/homogenize/shear_traits.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <limits>
#include <optional>

namespace cellgrade {

CrushTraits unknown_traits() {
    CrushTraits traits;
    for (const TraitField& field : trait_fields())
        traits.*field.member = std::numeric_limits<double>::quiet_NaN();
    return traits;
}

std::string beam_warning(const StudyCase& c) {
    if (beams(c.setup.mesh) == nullptr)
        return "";
    const std::optional<BeamDoubt> doubt =
        beam_doubt(c.grade.cell, c.print.printed_relative_density, c.slenderness);
    return doubt ? doubt_text(*doubt) : "";
}

std::string specimen_line(const StudyCase& c) {
    const SpecimenMesh& mesh = c.setup.mesh;
    const Vec3 size = box(mesh) / units::mm;
    std::string text = fmt::format(
        "specimen  {} {}, {} nodes, {:g} x {:g} x {:g} mm, relative density {:.4f}",
        n_elements(mesh), beams(mesh) != nullptr ? "elements" : "tetrahedra", nodes(mesh).size(),
        size.x(), size.y(), size.z(), solid_volume(mesh) / box(mesh).prod());
    if (c.print.diameter_offset_m != 0.0)
        text += fmt::format(" (endless cell {:.4f} drawn, {:.4f} printed)",
                            c.print.drawn_relative_density, c.print.printed_relative_density);
    return text + "\n";
}

int threads_for(const Session& session, Index elements) {
    constexpr Index elements_a_thread = 2000;
    if (session.threads > 0)
        return session.threads;
    return std::clamp<Index>(elements / elements_a_thread, 1, session.n_threads());
}

CrushOutcome run_case(const StudyCase& c, const CrushHooks& hooks) {
    const auto start = std::chrono::steady_clock::now();
    CrushOutcome outcome;
    outcome.record = run_crush(c.setup, hooks);
    outcome.record.print = c.print;
    outcome.record.notes.insert(outcome.record.notes.begin(), c.print_notes.begin(),
                                c.print_notes.end());
    if (const std::string warning = beam_warning(c); !warning.empty())
        outcome.record.notes.insert(outcome.record.notes.begin(), warning);
    outcome.wall_time_s =
        std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
    if (outcome.record.history.time_s.size() < 2) { // failed at once: there is no curve to measure
        outcome.traits = unknown_traits();
        return outcome;
    }
    outcome.curve = crush_curve(outcome.record);
    outcome.shear = shear_traits(outcome.curve);
    // A sheared case tells of shear; its compression is that of another case.
    outcome.traits =
        c.grade.load == CaseLoad::Shear
            ? unknown_traits()
            : crush_traits(outcome.curve,
                           {.relative_density = outcome.record.relative_density,
                            .solid_density_kg_per_m3 = outcome.record.solid_density_kg_per_m3});
    return outcome;
}

std::string distrust_reason(const CrushRecord& record) {
    std::string reason;
    const auto add = [&reason](const std::string& clause) {
        reason += (reason.empty() ? "" : "; ") + clause;
    };
    if (record.end == CrushEnd::Failed)
        add(record.failure);
    if (record.end == CrushEnd::Interrupted)
        add("interrupted");
    for (const GuardResult& guard : record.guards)
        if (guard.enforced && !guard.met)
            add(fmt::format("{} {:.3g} above its limit {:.3g}", guard.name, guard.value,
                            guard.limit));
    return reason;
}

GradeRow grade_row(const StudyCase& c, const CrushOutcome& outcome) {
    GradeRow row;
    row.grade = c.grade;
    row.status = outcome.record.end == CrushEnd::Failed ? "failed"
                 : outcome.record.trusted()             ? "trusted"
                                                        : "untrusted";
    row.reason = distrust_reason(outcome.record);
    row.warning = beam_warning(c);
    row.outside_card = outside_card(outcome.record.notes);
    row.traits = outcome.traits;
    row.shear = outcome.shear;
    row.polymer_modulus_Pa = polymer_modulus_Pa(c.setup.polymer, c.grade.strain_rate_per_s);
    row.curve = outcome.curve;
    row.density_kg_per_m3 =
        outcome.record.relative_density * outcome.record.solid_density_kg_per_m3;
    row.guards = outcome.record.guards;
    return row;
}

Provenance provenance_of(const Session& session, const StudyCase& c) {
    Provenance p;
    p.build = build_info();
    p.command_line = session.command_line;
    p.inputs = c.inputs;
    p.resolved_config = c.resolved;
    p.seeds = {fmt::format("specimen.seed = {}", c.study.specimen.seed)};
    if (c.study.printed.scatter_seed)
        p.seeds.push_back(fmt::format("print.scatter_seed = {}", *c.study.printed.scatter_seed));
    return p;
}

} // namespace cellgrade
