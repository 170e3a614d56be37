// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/grades/grade_table.hpp"
#include "solver/results/crush_file.hpp"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <limits>
#include <string>

/// Invented results with a different number in every field, so that a mix-up shows.
namespace cellgrade::test {

inline CrushCurve sample_curve(double scale = 1.0) {
    CrushCurve curve;
    for (int i = 0; i <= 60; ++i) {
        const double e = 0.7 * i / 60.0;
        curve.nominal_strain.push_back(e);
        curve.nominal_stress_Pa.push_back(
            scale * (3e5 * std::tanh(e / 0.05) + 1e5 * e + 2e4 * std::pow(e / 0.45, 9.0)));
    }
    curve.turn = 61;
    for (const double e : {0.6, 0.4, 0.1}) {
        curve.nominal_strain.push_back(e);
        curve.nominal_stress_Pa.push_back(scale * 1e5 * e);
    }
    return curve;
}

inline CrushTraits sample_traits() {
    return {.quasi_elastic_gradient_Pa = 6.1e6,
            .collapse_stress_Pa = 0.31e6,
            .collapse_strain = 0.07,
            .plateau_stress_Pa = 1.0 / 3.0 * 1e6,
            .plateau_end_strain = 0.52,
            .densification_strain = 0.58,
            .densification_stress_Pa = 0.7e6,
            .energy_to_50_J_per_m3 = 1.5e5,
            .energy_J_per_m3 = 1.9e5,
            .sea_J_per_kg = 1.2e3,
            .efficiency = 0.41,
            .ideality = 0.77,
            .dissipated_fraction = std::numeric_limits<double>::quiet_NaN(),
            .residual_strain = 0.03};
}

inline std::vector<GuardResult> sample_guards() {
    return {
        {.name = "energy_closure", .value = 0.004, .limit = 0.02, .met = true},
        {.name = "kinetic_share", .value = 0.08, .limit = 0.05, .met = false, .enforced = false}};
}

/// A square frame: four nodes, one beam inside, two over the periodic faces along x and y.
inline BeamMesh sample_mesh() {
    BeamMesh mesh;
    mesh.nodes = {{0.0, 0.0, 0.0}, {5e-3, 0.0, 0.0}, {0.0, 5e-3, 1e-2}, {5e-3, 5e-3, 1e-2}};
    mesh.is_joint = {true, false, true, true};
    mesh.elements = {
        {.a = 0, .b = 1, .radius = 0.5e-3, .stiffness_factor = 2.0, .mass_factor = 0.5, .strut = 0},
        {.a = 1, .b = 0, .image_b = {1, 0, 0}, .radius = 0.7e-3, .strut = 1},
        {.a = 3, .b = 2, .image_b = {1, -1, 0}, .radius = 0.6e-3, .strut = 2}};
    mesh.box = {1e-2, 1.1e-2, 1.2e-2};
    mesh.periodic = {true, true, false};
    mesh.bottom = {0, 1};
    mesh.top = {2, 3};
    mesh.solid_volume = 3e-9;
    mesh.centre_line_volume = 3.5e-9;
    return mesh;
}

inline CrushRecord sample_record() {
    CrushRecord r;
    double unlike = 1.0 / 3.0;
    for (auto member :
         {&CrushHistory::time_s, &CrushHistory::solver_time_s, &CrushHistory::displacement_m,
          &CrushHistory::force_top_N, &CrushHistory::force_bottom_N,
          &CrushHistory::kinetic_energy_J, &CrushHistory::stored_energy_J,
          &CrushHistory::viscous_energy_J, &CrushHistory::contact_energy_J,
          &CrushHistory::friction_energy_J, &CrushHistory::damping_energy_J,
          &CrushHistory::external_work_J, &CrushHistory::penetration_share, &CrushHistory::step_s,
          &CrushHistory::slide_m, &CrushHistory::side_force_top_N,
          &CrushHistory::side_force_bottom_N}) {
        r.history.*member = {0.0, unlike, 2.0 * unlike};
        unlike += 0.1;
    }
    r.guards = sample_guards();
    r.end = CrushEnd::StressRise;
    r.notes = {"slowed down twice", "caf\xC3\xA9"};
    r.print = {.drawn_relative_density = 0.13,
               .printed_relative_density = 0.15,
               .diameter_offset_m = 6e-5,
               .build_direction_factor = 0.8,
               .void_fraction = 0.02};
    r.gross_area_m2 = 1.1e-4;
    r.height_m = 1.2e-2;
    r.mass_kg = 3e-4;
    r.solid_volume_m3 = 3e-7;
    r.relative_density = 0.15;
    r.solid_density_kg_per_m3 = 1010.0;
    r.clock_ratio = 100.0;
    r.added_inertia_share = 0.01;
    r.stable_step_s = 1e-8;
    r.steps = 1234;
    r.elements = 3;
    r.nodes = 4;
    r.turn_row = 2;
    r.shear_row = 3;
    return r;
}

inline Provenance sample_provenance() {
    Provenance p{.build = build_info()};
    p.command_line = {"cellgrade", "crush", "run.toml"};
    p.inputs = {input_text("run.toml", "schema = 1\n")};
    p.resolved_config = "schema = 1\nspeed_m_per_s = 0.1\n";
    p.seeds = {"imperfection = 7"};
    p.limits = sample_guards();
    p.run = RunInfo{.start_utc = "2031-05-07T12:00:00Z", .wall_time_s = 12.5, .threads = 2};
    return p;
}

inline CrushResult sample_result() {
    return {.record = sample_record(),
            .curve = sample_curve(),
            .traits = sample_traits(),
            .mesh = sample_mesh(),
            .provenance = sample_provenance()};
}

/// Two trusted rows, one untrusted, one failed without a curve; a text with every CSV trap.
inline GradeTable sample_table() {
    const double none = std::numeric_limits<double>::quiet_NaN();
    GradeTable table{.study_name = "invented liner study"};
    const char* reasons[] = {"", "", "kinetic_share 0.2, limit 0.05 \"impact\"", "line 1\nline 2"};
    const char* status[] = {"trusted", "trusted", "untrusted", "failed"};
    for (int i = 0; i < 4; ++i) {
        GradeRow row{.grade = {.key = std::string(64, static_cast<char>('a' + i)),
                               .cell = i % 2 == 0 ? "octet"
                                                  : "a cell with a name longer than 32 "
                                                    "characters",
                               .polymer = "made-up elastomer",
                               .relative_density = 0.1 + 0.05 * i,
                               .strut_diameter_m = 1e-3 / 3.0,
                               .speed_m_per_s = i == 1 ? none : 0.02,
                               .strain_rate_per_s = 1.5 + i},
                     .status = status[i],
                     .reason = reasons[i],
                     .warning = i == 0 ? "beams, \"stubby\"" : "",
                     .outside_card = i == 0 ? "5 C (card: 10 to 40 C)" : "",
                     .traits = sample_traits(),
                     .curve = i < 3 ? sample_curve(1.0 + i) : CrushCurve{},
                     .density_kg_per_m3 = 101.0 + i,
                     .guards = i < 3 ? sample_guards() : std::vector<GuardResult>{}};
        table.rows.push_back(row);
    }
    return table;
}

/// sample_table() with everything that a table can hold, a different number in every field.
inline GradeTable full_sample_table() {
    GradeTable table = sample_table();
    double unlike = 1.0 / 7.0;
    const auto next = [&unlike] { return unlike += 1.0 / 11.0; };
    table.rows[1].grade.direction = {1, -1, 2};
    table.rows[1].grade.temperature_C = -10.5;
    table.rows[0].polymer_modulus_Pa = 1.2e7 / 7.0;
    GradeRow& sheared = table.rows[2];
    sheared.grade.load = CaseLoad::Shear;
    sheared.grade.precompression = 0.3;
    sheared.shear = {next(), next(), next(), next(), next(), next(), next()};
    for (std::size_t i = 0; i < sheared.curve.nominal_strain.size(); ++i) {
        sheared.curve.shear_strain.push_back(0.01 * static_cast<double>(i) / 3.0);
        sheared.curve.shear_stress_Pa.push_back(next() * 1e5);
    }
    table.rows[3].grade.load = CaseLoad::Oblique;
    table.rows[3].grade.path_angle_deg = 15.0;
    table.rows[1].uncertainty.resize(14);
    for (std::size_t t = 0; t < 13; ++t) {
        TraitUncertainty& doubt = table.rows[1].uncertainty[t];
        for (std::size_t part = 0; part < doubt.parts.size(); ++part)
            if (part != t % 6)
                doubt.parts[part] = next();
        doubt.extrapolated = next();
        doubt.mesh_order = next();
        doubt.settled_cells = next();
    }
    for (int i = 0; i < 2; ++i) {
        GradeStiffness grade{.cell = "octet",
                             .relative_density = 0.1 + 0.1 * i,
                             .direction = {i, 0, 1},
                             .polymer_modulus_Pa = next(),
                             .polymer_poisson = 0.45};
        for (int k = 0; k < 36; ++k)
            grade.tensor_Pa(k / 6, k % 6) = next();
        table.stiffness.push_back(grade);
    }
    ScalingRow law{.cell = "octet",
                   .direction = {1, 1, 0},
                   .trait = "plateau_stress_Pa",
                   .grades = 4,
                   .theory = "bending, with its source"};
    for (double* number :
         {&law.strain_rate_per_s, &law.density_from, &law.density_to, &law.coefficient,
          &law.coefficient_low, &law.coefficient_high, &law.exponent, &law.exponent_low,
          &law.exponent_high, &law.worst_share, &law.theory_coefficient, &law.theory_exponent})
        *number = next();
    table.scaling.push_back(law);
    return table;
}

/// Cases that fill a grid: 2 densities x 2 directions x 1 rate x 2 temperatures; the last failed.
inline GradeTable grid_sample_table() {
    GradeTable table{.study_name = "invented liner study"};
    for (int i = 0; i < 8; ++i) {
        GradeRow row;
        row.grade = {.key = fmt::format("{:064d}", i), .cell = "octet", .polymer = "made-up"};
        row.grade.relative_density = i % 2 == 0 ? 0.15 : 0.1;
        row.grade.direction =
            i / 2 % 2 == 0 ? std::array<Index, 3>{1, 1, 0} : std::array<Index, 3>{0, 0, 1};
        row.grade.temperature_C = i < 4 ? 20.0 : -10.0;
        row.grade.strain_rate_per_s = 0.01;
        row.status = i < 7 ? "trusted" : "failed";
        row.reason = i < 7 ? "" : "inside out";
        if (i < 7)
            row.curve = sample_curve(1.0 + i);
        table.rows.push_back(row);
    }
    return table;
}

} // namespace cellgrade::test
