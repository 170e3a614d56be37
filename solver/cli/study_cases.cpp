// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/study_cases.hpp"

#include "materials/cards/polymer_card.hpp"
#include "meshes/catalogue/any_cell.hpp"
#include "meshes/catalogue/embedded_cells.hpp"
#include "meshes/catalogue/lattice_table.hpp"
#include "meshes/catalogue/oriented_cell.hpp"
#include "meshes/catalogue/strut_net.hpp"
#include "meshes/density/solid_fraction.hpp"
#include "meshes/specimens/imperfections.hpp"
#include "meshes/specimens/specimen.hpp"
#include "solver/cli/study_print.hpp"
#include "solver/core/keyed_file.hpp"
#include "solver/core/sha256.hpp"
#include "solver/core/units.hpp"
#include "solver/crush/build_direction.hpp"
#include "solver/modes/buckling.hpp"

#include <algorithm>
#include <limits>
#include <numeric>

namespace cellgrade {

namespace {

/// The error with the study's file, line and key when it came without a place of its own; for a
/// cell that was named on the command line with that name alone.
Error placed(const Error& e, const StudyConfig& study, const std::string& key) {
    if (!e.where().file.empty())
        return e;
    const std::string file = study.path.string();
    if (study.text.empty())
        return {e.fault(), e.message(), {.file = file, .key = {}}};
    const KeyedTable root = parse_keyed_text(study.text, file);
    const std::size_t dot = key.find('.');
    Where where{.file = file, .key = key};
    if (const auto table = root.optional_table(key.substr(0, dot)))
        where = table->where(dot == std::string::npos ? "" : key.substr(dot + 1));
    return {e.fault(), e.message(), where};
}

/// The text that the card came from.
InputText card_input(const std::string& polymer) {
    const bool is_path = polymer.ends_with(".toml") || polymer.find('/') != std::string::npos;
    return is_path ? input_text(polymer, read_text_file(polymer))
                   : input_text(polymer + ".toml", std::string(built_in_card_text(polymer)));
}

/// The text that the cell came from.
InputText cell_input(const CellChoice& choice) {
    if (!choice.nodes_file.empty())
        return input_text(choice.nodes_file.filename().string() + " and " +
                              choice.struts_file.filename().string(),
                          read_text_file(choice.nodes_file) + read_text_file(choice.struts_file));
    if (!choice.file.empty())
        return input_text(choice.file, read_text_file(choice.file));
    for (const auto* catalogue : {&embedded_cells(), &embedded_level_sets()})
        for (const EmbeddedCell& known : *catalogue)
            if (known.name == choice.name)
                return input_text(choice.name + ".toml", std::string(known.text));
    return {};
}

SpecimenPlan
plan_of(const StudyConfig& study, const StrutCell& cell, double diameter_offset = 0.0) {
    const SpecimenChoice& s = study.specimen;
    SpecimenPlan plan;
    plan.tiles = s.tiles;
    plan.sides = s.periodic_sides                     ? Sides::Periodic
                 : s.sides == SpecimenSides::Confined ? Sides::Confined
                                                      : Sides::Free;
    plan.ends = s.ends == SpecimenEnds::Periodic ? Ends::Periodic : Ends::Plain;
    plan.diameter = s.diameter.value_or(0.0);
    plan.diameter_offset = diameter_offset;
    plan.densities = s.layer_relative_densities;
    if (s.relative_density)
        plan.densities = {*s.relative_density};
    plan.beams.element_length = s.element_length.value_or(0.0);
    if (s.elements_per_strut) {
        double shortest = std::numeric_limits<double>::infinity();
        for (const Strut& strut : cell.struts)
            shortest = std::min(shortest, length(cell, strut));
        plan.beams.element_length = shortest / static_cast<double>(*s.elements_per_strut);
    }
    plan.beams.refinement = s.element_refinement;
    plan.beams.joints = s.stiffened_joints ? Joints::Stiffened : Joints::None;
    plan.beams.joint_stiffness = s.joint_stiffness;
    plan.imperfections = {.node_offset = s.node_offset_share,
                          .diameter_scatter = s.diameter_scatter,
                          .seed = static_cast<std::uint64_t>(s.seed)};
    plan.least_diameter = s.min_diameter;
    return plan;
}

/// Content hash of all that decides the result: the resolved study without its names, places and
/// print limits,
/// the geometry of the cell and the polymer card.
std::string case_key(const StudyConfig& study, const InputText& cell, const PolymerCard& card) {
    StudyConfig bare = study;
    bare.name = bare.about = bare.polymer = "";
    bare.print = {};
    bare.uncertainty = {};
    bare.cell = {
        .name = "-", .file = {}, .scale = study.cell.scale, .direction = study.cell.direction};
    return sha256_hex(fmt::format("solver schema {}\n{}\n{}\n{}", solver_schema, study_text(bare),
                                  cell.text, card_text(card)));
}

CrushSetup setup_of(const StudyConfig& study, const PolymerCard& card, SpecimenMesh mesh) {
    CrushSetup setup{.mesh = std::move(mesh), .polymer = card};
    setup.section = study.section;
    setup.ends = study.specimen.ends;
    setup.sides = study.specimen.sides;
    setup.platen_friction = study.platen_friction.value_or(card.friction_on_platen.value_or(0.0));
    setup.strut_friction = study.strut_friction.value_or(card.friction_on_itself.value_or(0.0));
    setup.self_contact = study.self_contact;
    setup.loading = study.loading;
    setup.numerics = study.numerics;
    setup.limits = study.limits;
    return setup;
}

PolymerCard read_polymer(const StudyConfig& study) {
    try {
        const PolymerCard card = find_card(study.polymer);
        return study.card_change ? changed(card, *study.card_change) : card;
    } catch (const Error& e) {
        throw placed(e, study, "polymer.card");
    }
}

/// The card at the temperature of the study.
PolymerCard polymer_now(const StudyConfig& study, const PolymerCard& card) {
    if (!study.temperature_C)
        return card;
    try {
        return at_temperature(card, *study.temperature_C + units::zero_C);
    } catch (const Error& e) {
        throw placed(e, study, "loading.temperature_C");
    }
}

/// A beam mesh, bent along its lowest buckling mode where the study asks for it.
BeamMesh build_beams(const StudyConfig& study,
                     const StrutCell& cell,
                     double diameter_offset,
                     const Log& log) {
    BeamMesh mesh = build_specimen(cell, plan_of(study, cell, diameter_offset), log);
    if (study.specimen.buckling_shape == 0.0)
        return mesh;
    const PolymerCard card = read_polymer(study);
    const SectionModuli moduli = section_moduli(youngs_modulus_Pa(card), poissons_ratio(card));
    const BucklingMode lowest = std::move(buckling(mesh, moduli, 1).front());
    double thinnest = std::numeric_limits<double>::infinity();
    for (const BeamElement& element : mesh.elements)
        thinnest = std::min(thinnest, 2.0 * element.radius);
    add_shape(mesh, lowest.shape, study.specimen.buckling_shape * thinnest);
    log.write(LogLevel::Decision,
              "specimen bent along its lowest buckling mode, critical at nominal strain {:.4g}, by "
              "{:.4g} mm",
              lowest.critical_strain, study.specimen.buckling_shape * thinnest / units::mm);
    return mesh;
}

/// The mesh of a study and what its grade is.
struct Specimen {
    SpecimenMesh mesh;
    double relative_density = 0.0; ///< drawn
    double printed_density = 0.0;
    double diameter =
        std::numeric_limits<double>::quiet_NaN(); ///< drawn, of the thickest strut [m]
};

/// Relative density with every diameter larger by the offset.
double
printed_fraction(const StrutCell& cell, std::vector<double> diameters, double diameter_offset) {
    for (double& d : diameters)
        d += diameter_offset;
    return solid_fraction(cell, diameters).relative_density;
}

Specimen beam_specimen(const StudyConfig& study,
                       const StrutCell& cell,
                       double diameter_offset,
                       const Log& log) {
    const SpecimenPlan plan = plan_of(study, cell);
    Specimen s{.mesh = build_beams(study, cell, diameter_offset, log), .diameter = plan.diameter};
    std::vector<double>
        diameters; // drawn, of one cell; empty where they differ from layer to layer
    if (plan.densities.size() == 1) {
        s.relative_density = plan.densities.front();
        s.diameter = diameter_for_density(cell, s.relative_density);
        diameters = strut_diameters(cell, s.diameter);
    } else if (!plan.densities.empty()) {
        s.relative_density = std::accumulate(plan.densities.begin(), plan.densities.end(), 0.0) /
                             static_cast<double>(plan.densities.size());
        s.diameter = std::numeric_limits<double>::quiet_NaN(); // one a layer
    } else {
        diameters = plan.diameter > 0.0 ? strut_diameters(cell, plan.diameter) : cell.diameters;
        CELLGRADE_CHECK(!diameters.empty(),
                        "relative_density, diameter_mm or layer_relative_densities is needed: the "
                        "cell {} has no diameters of its own",
                        cell.name);
        if (!cell.is_whole) // there, what is measured on the mesh below
            s.relative_density = solid_fraction(cell, diameters).relative_density;
        s.diameter = *std::max_element(diameters.begin(), diameters.end());
    }
    if (cell.is_whole) {
        s.printed_density = solid_volume(s.mesh) / box(s.mesh).prod();
        const SpecimenMesh drawn = build_specimen(cell, plan, {});
        s.relative_density = solid_volume(drawn) / box(drawn).prod();
        return s;
    }
    s.printed_density = s.relative_density;
    if (diameter_offset != 0.0 && !diameters.empty())
        s.printed_density = printed_fraction(cell, diameters, diameter_offset);
    else if (diameter_offset != 0.0) {
        s.printed_density = 0.0;
        for (const double rb : plan.densities)
            s.printed_density +=
                printed_fraction(cell, diameters_for_density(cell, rb), diameter_offset) /
                static_cast<double>(plan.densities.size());
    }
    return s;
}

ModelKind kind_of(const StudyConfig& study, const AnyCell& cell) {
    const bool has_struts = std::holds_alternative<StrutCell>(cell);
    const ModelKind kind = study.model.value_or(has_struts ? ModelKind::Beams : ModelKind::Solid);
    CELLGRADE_CHECK(kind == ModelKind::Beams || !has_struts || !std::get<StrutCell>(cell).is_whole,
                    "a whole lattice (cell.nodes_file) is crushed as beams; the model must not be "
                    "solid");
    CELLGRADE_CHECK(has_struts || kind == ModelKind::Solid,
                    "the cell {} has no struts and cannot be made of beams; the model must be "
                    "solid",
                    name_of(cell));
    return kind;
}

Specimen
specimen_of(const StudyConfig& study, const AnyCell& cell, double diameter_offset, const Log& log) {
    const auto* struts = std::get_if<StrutCell>(&cell);
    if (kind_of(study, cell) == ModelKind::Beams)
        return beam_specimen(study, *struts, diameter_offset, log);
    SolidSpecimen solid = build_solid(study.specimen, cell, diameter_offset, log);
    Specimen s{.mesh = std::move(solid.mesh),
               .relative_density = solid.drawn_density,
               .printed_density = solid.relative_density};
    if (struts != nullptr && solid.amounts.size() == 1)
        s.diameter = solid.amounts.front();
    return s;
}

StudyPrint print_of(const StudyConfig& study, const PolymerCard& card, const AnyCell& cell) {
    try {
        return study_print(study.printed, card, kind_of(study, cell));
    } catch (const Error& e) {
        throw placed(e, study, study.printed.scatter_seed ? "print.scatter_seed" : "specimen");
    }
}

double slenderness_of(const AnyCell& any, double diameter) {
    const auto* cell = std::get_if<StrutCell>(&any);
    if (cell == nullptr)
        return std::numeric_limits<double>::quiet_NaN();
    double shortest = std::numeric_limits<double>::infinity();
    for (const Strut& strut : cell->struts)
        shortest = std::min(shortest, length(*cell, strut));
    return shortest / diameter;
}

GradeCase grade_of(const StudyConfig& study, const AnyCell& cell, const Specimen& specimen) {
    constexpr double nan = std::numeric_limits<double>::quiet_NaN();
    GradeCase g;
    g.cell = name_of(cell);
    g.relative_density = specimen.relative_density;
    g.strut_diameter_m = specimen.diameter;
    const double height = box(specimen.mesh).z();
    g.speed_m_per_s = study.loading.speed_m_per_s.value_or(nan);
    g.strain_rate_per_s = study.loading.speed_m_per_s
                              ? *study.loading.speed_m_per_s / height
                              : study.loading.strain_rate_per_s.value_or(nan);
    g.direction = study.cell.direction;
    g.temperature_C = study.temperature_C.value_or(nan);
    g.load = study.loading.shear_to_strain > 0.0 ? CaseLoad::Shear
             : study.loading.path_angle > 0.0    ? CaseLoad::Oblique
                                                 : CaseLoad::Compression;
    g.precompression = g.load == CaseLoad::Shear ? study.loading.to_strain : 0.0;
    g.path_angle_deg = study.loading.path_angle / units::degree;
    return g;
}

} // namespace

std::string study_key(const StudyConfig& study) {
    return case_key(study, cell_input(study.cell), read_polymer(study));
}

AnyCell study_cell(const StudyConfig& study) {
    const CellChoice& choice = study.cell;
    try {
        if (!choice.nodes_file.empty())
            return read_lattice_table(choice.nodes_file, choice.struts_file);
        AnyCell cell =
            choice.file.empty() ? find_any_cell(choice.name) : read_any_cell(choice.file);
        if (choice.scale)
            cell = scaled(cell, *choice.scale / edges_of(cell).x());
        return oriented(cell, choice.direction);
    } catch (const Error& e) {
        throw placed(e, study, study.sweep.cells.empty() ? "cell" : "sweep.cells");
    }
}

std::variant<BeamMesh, SolidSpecimen> study_mesh(const StudyConfig& study, const Log& log) {
    const AnyCell cell = study_cell(study);
    try {
        if (kind_of(study, cell) == ModelKind::Solid)
            return build_solid(study.specimen, cell, 0.0, log);
        return build_beams(study, std::get<StrutCell>(cell), 0.0, log);
    } catch (const Error& e) {
        throw placed(e, study, "specimen");
    }
}

StudyCase prepare_case(const StudyConfig& study, const Log& log) {
    const AnyCell cell = study_cell(study);
    const PolymerCard card = read_polymer(study);
    StudyCase c{.study = study};
    c.resolved = study_text(study);
    const InputText cell_text = cell_input(study.cell);
    c.inputs = {input_text(study.path, study.text), cell_text, card_input(study.polymer)};
    const StudyPrint print = print_of(study, card, cell);
    const PolymerCard now = polymer_now(study, print.polymer);
    c.print_notes = print.notes;
    try {
        Specimen specimen = specimen_of(study, cell, print.diameter_offset, log);
        c.grade = grade_of(study, cell, specimen);
        c.slenderness = slenderness_of(cell, specimen.diameter + print.diameter_offset);
        c.print = {.drawn_relative_density = specimen.relative_density,
                   .printed_relative_density = specimen.printed_density,
                   .diameter_offset_m = print.diameter_offset,
                   .build_direction_factor = print.factor.value_or(1.0),
                   .void_fraction = void_fraction(now)};
        c.setup = setup_of(study, now, std::move(specimen.mesh));
        if (print.factor)
            set_build_direction(c.setup, *print.factor, *study.printed.build_axis);
        if (study.temperature_C)
            c.setup.temperature_K = *study.temperature_C + units::zero_C;
        c.setup.numerics.speed_share = study.solver_speed_share;
    } catch (const Error& e) {
        throw placed(e, study, "specimen");
    }
    c.grade.polymer = card.name;
    c.grade.key = case_key(study, cell_text, card);
    return c;
}

} // namespace cellgrade
