// SPDX-License-Identifier: Apache-2.0
#include "materials/cards/polymer_card.hpp"
#include "meshes/beams/beam_mesh.hpp"
#include "meshes/quality/tet_quality.hpp"
#include "solver/cli/columns.hpp"
#include "solver/cli/commands.hpp"
#include "solver/cli/print_output.hpp"
#include "solver/cli/study_cases.hpp"
#include "solver/cli/version.hpp"
#include "solver/core/keyed_file.hpp"
#include "solver/core/publish.hpp"
#include "solver/core/units.hpp"
#include "solver/modes/buckling.hpp"
#include "solver/modes/natural_frequencies.hpp"
#include "solver/results/vtkhdf.hpp"
#include "solver/results/vtu.hpp"

#include <nlohmann/json.hpp>

#include <algorithm>
#include <limits>
#include <memory>
#include <numbers>
#include <optional>
#include <string>
#include <vector>

namespace cellgrade {

namespace {

using Json = nlohmann::ordered_json;

struct MeshOptions {
    std::string input, polymer, sides = "free";
    std::vector<std::string> outputs;
    std::vector<Index> tiles{1, 1, 1};
    std::optional<double> diameter_mm, relative_density, element_length_mm, fillet_mm, across;
    std::optional<double> narrowest_wall_mm, narrowest_opening_mm;
    std::optional<ModelKind> model;
    int modes = 0;
};

/// A study has a table [cell] or [polymer]; a cell file has neither.
bool is_study(const std::string& input) {
    if (!input.ends_with(".toml"))
        return false;
    const KeyedTable file = read_keyed_file(input);
    return file.has("cell") || file.has("polymer");
}

StudyConfig study_of(const MeshOptions& o) {
    const auto with_options = [&o](StudyConfig study) {
        if (o.model)
            study.model = o.model;
        if (o.narrowest_wall_mm)
            study.print.least_solid = *o.narrowest_wall_mm * units::mm;
        if (o.narrowest_opening_mm)
            study.print.least_opening = *o.narrowest_opening_mm * units::mm;
        return study;
    };
    if (is_study(o.input))
        return with_options(read_study(o.input, StudyUse::Geometry));
    StudyConfig study = with_options({});
    study.path = o.input;
    if (o.input.ends_with(".toml"))
        study.cell.file = o.input;
    else
        study.cell.name = o.input;
    study.polymer = o.polymer;
    std::copy(o.tiles.begin(), o.tiles.end(), study.specimen.tiles.begin());
    study.specimen.relative_density = o.relative_density;
    if (o.diameter_mm)
        study.specimen.diameter = *o.diameter_mm * units::mm;
    if (o.element_length_mm)
        study.specimen.element_length = *o.element_length_mm * units::mm;
    study.specimen.periodic_sides = o.sides == "periodic";
    study.specimen.fillet_radius = o.fillet_mm.value_or(0.0) * units::mm;
    study.specimen.elements_across = o.across.value_or(study.specimen.elements_across);
    return study;
}

Json report(const BeamMesh& mesh) {
    double thinnest = std::numeric_limits<double>::infinity(), thickest = 0.0;
    Index struts = 0;
    for (const BeamElement& element : mesh.elements) {
        thinnest = std::min(thinnest, 2.0 * element.radius);
        thickest = std::max(thickest, 2.0 * element.radius);
        struts = std::max(struts, element.strut + 1);
    }
    const double gross = mesh.box.prod();
    return {
        {"schema", "cellgrade/mesh"},
        {"nodes", mesh.nodes.size()},
        {"elements", mesh.elements.size()},
        {"struts", struts},
        {"joints", std::count(mesh.is_joint.begin(), mesh.is_joint.end(), true)},
        {"size_mm", {mesh.box.x() / units::mm, mesh.box.y() / units::mm, mesh.box.z() / units::mm}},
        {"relative_density", mesh.solid_volume / gross},
        {"centre_line_density", mesh.centre_line_volume / gross},
        {"overlap_share", 1.0 - mesh.solid_volume / mesh.centre_line_volume},
        {"thinnest_strut_mm", thinnest / units::mm},
        {"thickest_strut_mm", thickest / units::mm},
        {"nodes_on_lower_face", mesh.bottom.size()},
        {"nodes_on_upper_face", mesh.top.size()}};
}

constexpr double degrees = 180.0 / std::numbers::pi;

Json report(const SolidSpecimen& s) {
    const TetMesh& mesh = s.mesh;
    const TetQuality q = tet_quality(mesh, s.solid);
    return {
        {"schema", "cellgrade/mesh"},
        {"nodes", q.n_nodes},
        {"tetrahedra", q.n_tets},
        {"surface_faces", q.n_surface_faces},
        {"size_mm", {mesh.box.x() / units::mm, mesh.box.y() / units::mm, mesh.box.z() / units::mm}},
        {"relative_density", s.relative_density},
        {"narrowest_mm", s.solid.narrowest / units::mm},
        {"smallest_dihedral_degrees", q.smallest_dihedral * degrees},
        {"largest_dihedral_degrees", q.largest_dihedral * degrees},
        {"below_10_degrees", q.n_slivers},
        {"smallest_scaled_jacobian", q.smallest_scaled_jacobian},
        {"smallest_curved_jacobian", q.smallest_curved_jacobian},
        {"smallest_height_mm", q.smallest_height / units::mm},
        {"volume_error_share", q.volume / mesh.solid_volume - 1.0},
        {"surface_shift_mm", mesh.surface_shift / units::mm},
        {"largest_surface_error_mm", q.largest_surface_error / units::mm},
        {"mean_surface_error_mm", q.mean_surface_error / units::mm},
        {"open_edges", q.n_open_edges},
        {"nodes_on_lower_face", mesh.bottom.size()},
        {"nodes_on_upper_face", mesh.top.size()}};
}

/// What the print check of one cell found; null where there is nothing to tell.
Json report(const PrintCheck& found) {
    const auto width = [](const std::optional<NarrowPlace>& place) {
        return place ? Json(place->width / units::mm) : Json();
    };
    return {{"narrowest_wall_mm", width(found.narrowest)},
            {"wall_is_estimate", found.narrowest && !found.resolves(found.narrowest->width)},
            {"narrowest_opening_mm", width(found.opening)},
            {"closed_voids", found.n_closed_pores},
            {"closed_share_of_void", found.closed_share},
            {"loose_pieces", found.n_loose_pieces},
            {"loose_share_of_solid", found.loose_share},
            {"grid_spacing_mm", found.spacing.maxCoeff() / units::mm}};
}

void check_output(const std::string& output) {
    if (!output.ends_with(".vtu") && !output.ends_with(".vtkhdf") && !is_print_file(output))
        throw Error(Fault::Input, "a mesh file must end in .vtu, .vtkhdf, .stl or .3mf",
                    {.file = output, .key = {}});
    require_writable_folder(output);
}

void write_outputs(const std::vector<std::string>& outputs,
                   const std::variant<BeamMesh, SolidSpecimen>& specimen,
                   const PrintLabel& label,
                   const Log& log) {
    if (outputs.empty())
        return;
    const auto* beams = std::get_if<BeamMesh>(&specimen);
    const SpecimenMesh mesh = beams != nullptr
                                  ? SpecimenMesh(*beams)
                                  : SpecimenMesh(std::get<SolidSpecimen>(specimen).mesh);
    std::vector<std::string> for_printer;
    for (const std::string& output : outputs)
        if (output.ends_with(".vtu"))
            publish_text(output, vtu_text(mesh));
        else if (output.ends_with(".vtkhdf"))
            write_vtkhdf_mesh(output, mesh);
        else
            for_printer.push_back(output);
    write_print_files(for_printer, mesh, label, log);
}

PrintLabel label_of(const StudyConfig& study, const Json& mesh) {
    const std::filesystem::path& file =
        study.cell.nodes_file.empty() ? study.cell.file : study.cell.nodes_file;
    const std::string cell = study.cell.name.empty() ? file.stem().string() : study.cell.name;
    PrintLabel label{.title = study.name.empty() ? "specimen of " + cell : study.name,
                     .application = version_line(),
                     .cell = cell,
                     .relative_density = mesh["relative_density"].get<double>()};
    for (int axis = 0; axis < 3; ++axis)
        label.cell_size[axis] = mesh["size_mm"][axis].get<double>() * units::mm /
                                static_cast<double>(study.specimen.tiles[axis]);
    return label;
}

/// The lowest `count` modes of the specimen: vibrations while it stands glued to the lower platen,
/// buckling between glued platens.
Json modes_report(const BeamMesh& mesh, const std::string& polymer, int count) {
    CELLGRADE_CHECK(!polymer.empty(),
                    "--modes needs a polymer: name a card with --polymer, such as "
                    "medium, or give a study file");
    const PolymerCard card = find_card(polymer);
    const SectionModuli moduli = section_moduli(youngs_modulus_Pa(card), poissons_ratio(card));
    const std::vector<NodeSupport> standing = bonded_supports(mesh, Bonded::Bottom);
    Json frequencies = Json::array(), strains = Json::array();
    for (const double omega :
         natural_frequencies(mesh, moduli, card.density_kg_per_m3, standing, count).omega)
        frequencies.push_back(omega / (2.0 * std::numbers::pi));
    for (const BucklingMode& mode : buckling(mesh, moduli, count))
        strains.push_back(mode.critical_strain);
    return {{"polymer", card.name},
            {"natural_frequency_Hz", frequencies},
            {"buckling_nominal_strain", strains}};
}

std::string numbers_text(const Json& values) {
    std::string text;
    for (const Json& value : values)
        text += (text.empty() ? "" : ", ") + readable(value.get<double>(), 5);
    return text;
}

int run_mesh(const Session& session, const MeshOptions& o) {
    for (const std::string& output : o.outputs)
        check_output(output);
    const StudyConfig study = study_of(o);
    const std::variant<BeamMesh, SolidSpecimen> specimen = study_mesh(study, session.log());
    const auto* mesh = std::get_if<BeamMesh>(&specimen);
    CELLGRADE_CHECK(mesh != nullptr || o.modes == 0, "--modes is known for beams only");
    Json j = std::visit([](const auto& s) { return report(s); }, specimen);
    write_outputs(o.outputs, specimen, label_of(study, j), session.log());
    if (o.modes > 0)
        j["modes"] = modes_report(*mesh, study.polymer, o.modes);
    if (const auto* solid = std::get_if<SolidSpecimen>(&specimen))
        j["print"] = report(
            check_cells(study_cell(study), study.specimen, *solid, study.print, session.log()));
    if (session.json) {
        print(j.dump(2) + "\n");
        return exit_code::done;
    }
    std::vector<std::vector<std::string>> rows;
    for (const auto& [key, value] : j.items()) {
        if (value.is_number())
            rows.push_back({key, readable(value.get<double>(), 6)});
        else if (value.is_array())
            rows.push_back({key, fmt::format("{:g} x {:g} x {:g}", value[0].get<double>(),
                                             value[1].get<double>(), value[2].get<double>())});
    }
    if (o.modes > 0) {
        const Json& modes = j["modes"];
        rows.push_back({"natural_frequency_Hz, lower face glued",
                        numbers_text(modes["natural_frequency_Hz"])});
        rows.push_back({"buckling_nominal_strain, both faces glued",
                        numbers_text(modes["buckling_nominal_strain"])});
    }
    if (j.contains("print"))
        for (const auto& [key, value] : j["print"].items())
            rows.push_back({"one cell, " + key, value.is_null() ? "none"
                                                : value.is_boolean()
                                                    ? (value.get<bool>() ? "yes" : "no")
                                                    : readable(value.get<double>(), 6)});
    print(columns_text({"mesh ", "value"}, rows));
    return exit_code::done;
}

} // namespace

void add_mesh_command(CLI::App& program, Session& session) {
    CLI::App& command = new_command(
        program, session, "mesh", "Build the mesh of a study or a cell and tell its measures.",
        "  cellgrade mesh examples/01_first_crush/study.toml -o specimen.vtu\n"
        "  cellgrade mesh kelvin --tiles 2 2 2 --density 0.12 -o kelvin.vtkhdf\n"
        "  cellgrade mesh octet --tiles 2 2 2 --density 0.05 --modes 3 --polymer medium\n"
        "  cellgrade mesh gyroid_wall --density 0.2 --across 1.5 -o gyroid.vtu -o gyroid.3mf\n"
        "  cellgrade mesh kelvin --density 0.1 -o kelvin.stl -o kelvin-beams.3mf\n");
    auto o = std::make_shared<MeshOptions>();
    const double tiny = std::numeric_limits<double>::min();
    command.add_option("INPUT", o->input, "study file, cell file, or cell of the catalogue")
        ->required();
    command
        .add_option("-o,--output", o->outputs,
                    "the mesh: .vtu or .vtkhdf to look at; for the printer, in mm, .stl or .3mf "
                    "of the surface, -beams.3mf of beams; may be given again")
        ->type_name("FILE")
        ->expected(1)
        ->allow_extra_args(false)
        ->take_all()
        ->group("Results");
    add_model_option(command, o->model, "Specimen of a cell");
    command.add_option("--modes", o->modes, "also the lowest N vibration and buckling modes")
        ->type_name("N")
        ->check(CLI::Range(1, 100))
        ->group("Modes");
    command
        .add_option("--polymer", o->polymer,
                    "card of the polymer for the modes of a cell; a study names its own")
        ->type_name("CARD")
        ->group("Modes");
    const auto measure = [&](const char* name, std::optional<double>& value, const char* unit,
                             const char* text) {
        command.add_option(name, value, text)
            ->type_name(unit)
            ->check(CLI::Range(tiny, 1e6))
            ->group("Specimen of a cell");
    };
    command.add_option("--tiles", o->tiles, "cells along x, y, z")
        ->type_name("NX NY NZ")
        ->expected(3)
        ->check(CLI::Range(1, 200))
        ->default_str("1 1 1")
        ->group("Specimen of a cell");
    command.add_option("--sides", o->sides, "free or periodic")
        ->type_name("SIDES")
        ->check(CLI::IsMember({"free", "periodic"}))
        ->capture_default_str()
        ->group("Specimen of a cell");
    measure("--diameter-mm", o->diameter_mm, "MM", "of the (thickest) strut");
    measure("--density", o->relative_density, "SHARE", "instead: relative density");
    measure("--element-length-mm", o->element_length_mm, "MM",
            "of the beams, without it about one strut diameter; of the mesh cubes of a solid");
    measure("--across", o->across, "N",
            "solid: mesh cubes across the narrowest wall or strut, 2 without it");
    measure("--fillet-mm", o->fillet_mm, "MM", "solid struts: fillet radius at the joints");
    const auto limit = [&](const char* name, std::optional<double>& value, const char* text) {
        command.add_option(name, value, text)
            ->type_name("MM")
            ->check(CLI::Range(tiny, 1e6))
            ->group("Limits of the printer");
    };
    limit("--narrowest-wall-mm", o->narrowest_wall_mm,
          "warn of solid walls and struts that are thinner");
    limit("--narrowest-opening-mm", o->narrowest_opening_mm,
          "warn when powder or resin must leave by less");
    command.callback(
        [&session, o] { session.action = [&session, o] { return run_mesh(session, *o); }; });
}

} // namespace cellgrade
