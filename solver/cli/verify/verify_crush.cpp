// SPDX-License-Identifier: Apache-2.0
// Problem    whole crushes with known curves: a slender column between bonded plates, and a
//            body-centred cell without borders. Same path as any crush: setup, guards, record.
// Exact      elastica by elliptic integrals (column) and by shooting (inclined half struts of the
//            cell), both without extension.
// Tolerance  column 0.5 %: 24 elements a half wave are 0.29 % high, r/L = 0.005 leaves P/EA = 6e-4
//            in the way and so 0.04 % in the load, the bow of 1e-4 L that starts the buckle weighs
//            0.05 % of the offset at 10 %. Cell 1 % (the reference list asks for 2): 12 elements a
//            strut are 0.29 % high, r/l = 0.02 leaves 0.1 % of extension, damping 0.1 %.
#include "meshes/specimens/specimen.hpp"
#include "solver/cli/verify/known_beams.hpp"
#include "solver/cli/verify/known_cells.hpp"
#include "solver/core/error.hpp"
#include "solver/crush/row_forces.hpp"
#include "solver/crush/run_crush.hpp"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <numbers>

namespace cellgrade {

namespace {

using namespace known_beams;
constexpr double pi = std::numbers::pi;
constexpr double E = 50e6, nu = 0.45, rho = 1200.0;

CrushSetup elastic_setup(BeamMesh mesh, double to_strain) {
    CrushSetup setup;
    setup.mesh = std::move(mesh);
    setup.polymer = {.name = "linear",
                     .source = "the reference list's standard strut",
                     .density_kg_per_m3 = rho,
                     .law = LinearElastic{.E = E, .nu = nu, .void_fraction = 0.0}};
    setup.section = SectionKind::Resultants;
    setup.self_contact = false;
    setup.loading = {.strain_rate_per_s = 1.0, .to_strain = to_strain};
    return setup;
}

/// Slower and less damped than a crush is by default: what is checked here is the answer at rest.
/// The default (25 slow periods, damping ratio 0.2) leaves 5 % of damping in the cell's stress at
/// 10 % strain and 2 % at 20 %.
void go_slowly(CrushSetup& setup) {
    double volume = 0.0;
    const BeamMesh& mesh = *beams(setup.mesh);
    for (const BeamElement& e : mesh.elements) {
        const Vec3 shift = e.image_b.cast<double>().cwiseProduct(mesh.box);
        const double h = (mesh.nodes[e.b] + shift - mesh.nodes[e.a]).norm();
        volume += pi * e.radius * e.radius * h * e.mass_factor;
    }
    const double density = volume / mesh.box.prod(), height = mesh.box.z();
    const double slow_period = 4.0 * height / std::sqrt(E / rho * density);
    setup.numerics.damping_ratio = 0.05;
    setup.numerics.solver_speed_m_per_s = setup.loading.to_strain * height / (60.0 * slow_period);
}

/// Mean force of the two ends at a nominal strain, between the rows on either side [N].
double force_at(const CrushRecord& record, double strain) {
    const std::vector<double>& way = record.history.displacement_m;
    std::size_t i = 1;
    while (i + 1 < way.size() && way[i] < strain * record.height_m)
        ++i;
    const std::vector<double> top = forces_at_rows(record.history.force_top_N, record.turn_row);
    const std::vector<double> bottom =
        forces_at_rows(record.history.force_bottom_N, record.turn_row);
    const auto mean = [&](std::size_t k) { return 0.5 * (top[k] + bottom[k]); };
    const double s = (strain * record.height_m - way[i - 1]) / (way[i] - way[i - 1]);
    return mean(i - 1) + s * (mean(i) - mean(i - 1));
}

/// The guards as rows: a limit is met when the worst value is below it.
void add_guards(Rows& rows, const std::string& id, const CrushRecord& record) {
    if (!record.trusted())
        throw run_error("the crush of {} is not to be trusted: {}", id, record.failure);
    for (const GuardResult& guard : record.guards)
        add(rows, id + "-" + guard.name, "worst " + guard.name + " of the run", "1",
            {.computed = guard.value, .tolerance = guard.limit, .scale = 1.0},
            "quasi-static gate, common practice, no source");
}

void add_column(Rows& rows) {
    constexpr double L = 10e-3, r = 0.005 * L, bow = 1e-4 * L;
    constexpr int n = 48;
    BeamMesh mesh = chain({{0, 0, 0}, {0, 0, L}}, n, r);
    for (int i = 0; i <= n; ++i)
        mesh.nodes[i].x() = 0.5 * bow * (1.0 - std::cos(2.0 * pi * i / n));
    mesh.bottom = {0};
    mesh.top = {n};
    // A gross area for which the estimate of the slow period is the buckled column's own.
    const double omega = 22.4 * 0.5 * r / (L * L) * std::sqrt(E / rho);
    const double density = std::pow(4.0 * L / std::sqrt(E / rho) * omega / (2.0 * pi), 2);
    const double side = std::sqrt(pi * r * r / density);
    mesh.box = Vec3(side, side, L);
    CrushSetup setup = elastic_setup(std::move(mesh), 0.61);
    setup.ends = SpecimenEnds::Bonded;
    setup.numerics.rows_per_strain = 500.0;
    go_slowly(setup);
    const CrushRecord record = run_crush(setup);
    add_guards(rows, "crush/column", record);
    const double euler = pi * pi * E * 0.25 * pi * std::pow(r, 4) / (L * L);
    constexpr std::array<std::array<double, 2>, 5> elastica = {{{0.10, 1.0529869},
                                                                {0.20, 1.1127387},
                                                                {0.30, 1.1806988},
                                                                {0.45, 1.3023352},
                                                                {0.60, 1.4562294}}};
    for (const auto& [e, load] : elastica)
        add(rows, fmt::format("crush/column-{:g}", 100.0 * e),
            fmt::format("load over 4 Euler loads, crush of a clamped column, strain {:g}", e), "1",
            {.reference = load, .computed = force_at(record, e) / (4.0 * euler), .tolerance = 5e-3},
            "Timoshenko & Gere (1961), Theory of Elastic Stability, art. 2.7");
}

void add_body_centred(Rows& rows) {
    constexpr double edge = 10e-3;
    const double l = 0.5 * std::sqrt(3.0) * edge, r = 0.02 * l;
    const SpecimenPlan plan{.sides = Sides::Periodic,
                            .ends = Ends::Periodic,
                            .diameter = 2.0 * r,
                            .beams = {.element_length = l / 12.0, .joints = Joints::None}};
    CrushSetup setup = elastic_setup(build_specimen(known_cells::body_centred(edge), plan), 0.5);
    setup.ends = SpecimenEnds::Periodic;
    setup.sides = SpecimenSides::Free;
    setup.numerics.rows_per_strain = 500.0;
    setup.numerics.frames = 2;
    go_slowly(setup);
    const CrushRecord record = run_crush(setup);
    add_guards(rows, "crush/body-centred", record);
    const double I = 0.25 * pi * std::pow(r, 4), unit = E * I / std::pow(l, 4);
    constexpr std::array<std::array<double, 2>, 5> stress = {
        {{0.1, 2.8756}, {0.2, 5.3885}, {0.3, 7.6699}, {0.4, 9.8085}, {0.5, 11.8695}}};
    const std::string source = "inclined strut by shooting, 4 struts a cell; idea of Zhu, Mills & "
                               "Knott (1997), J. Mech. Phys. Solids 45, 1875";
    for (const auto& [e, want] : stress)
        add(rows, fmt::format("crush/body-centred-{:g}", 100.0 * e),
            fmt::format("stress l^4/EI of an endless body-centred cell, strain {:g}", e), "1",
            {.reference = want,
             .computed = force_at(record, e) / record.gross_area_m2 / unit,
             .tolerance = 1e-2},
            source);
    // The two joints of the cell stand half a period apart.
    std::vector<Vec3> joints;
    const BeamMesh& cell = *beams(setup.mesh);
    for (std::size_t i = 0; i < cell.nodes.size(); ++i)
        if (cell.is_joint[i])
            joints.push_back(record.frames.back().positions[i]);
    const double width = 2.0 * std::abs(joints.at(1).x() - joints.at(0).x());
    add(rows, "crush/body-centred-50-growth", "sideways strain of the cell at strain 0.5", "1",
        {.reference = 0.159396, .computed = width / edge - 1.0, .tolerance = 1e-2}, source);
}

} // namespace

std::vector<VerificationRow> verify_crush() {
    Rows rows;
    add_column(rows);
    add_body_centred(rows);
    return rows;
}

} // namespace cellgrade
