// SPDX-License-Identifier: Apache-2.0
#include "meshes/catalogue/any_cell.hpp"
#include "meshes/catalogue/strut_net.hpp"
#include "meshes/density/solid_fraction.hpp"
#include "solver/cli/columns.hpp"
#include "solver/cli/commands.hpp"
#include "solver/cli/solid_specimen.hpp"
#include "solver/core/units.hpp"
#include "solver/homogenize/elastic_constants.hpp"
#include "solver/homogenize/platen_stiffness.hpp"
#include "solver/homogenize/solid_stiffness.hpp"
#include "solver/homogenize/stiffness.hpp"

#include <nlohmann/json.hpp>

#include <array>
#include <cmath>
#include <limits>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace cellgrade {

namespace {

using Json = nlohmann::ordered_json;

struct StiffnessOptions {
    std::string cell;
    std::optional<double> diameter_mm, relative_density, shear_factor, across, element_length_mm;
    std::optional<ModelKind> model;
    double youngs_MPa = 0.0;
    double poisson = 0.0;
    std::string joints = "none";
    std::string platens; ///< empty: the endless lattice
    std::vector<Index> tiles{1, 1, 1};
};

/// Stiffness of one cell with all that is told about it.
struct CellStiffness {
    std::string cell;
    Index tetrahedra = 0; ///< 0: beams
    std::vector<double> diameters;
    ElasticStiffness elastic;
    SolidFraction solid;
    SectionModuli moduli{};
    std::string joints;
};

std::vector<double> chosen_diameters(const StrutCell& cell, const StiffnessOptions& o) {
    CELLGRADE_CHECK(!(o.diameter_mm && o.relative_density),
                    "--diameter-mm and --density: only one of them may be given");
    if (o.diameter_mm)
        return strut_diameters(cell, *o.diameter_mm * units::mm);
    if (o.relative_density)
        return diameters_for_density(cell, *o.relative_density);
    CELLGRADE_CHECK(!cell.diameters.empty(),
                    "--diameter-mm or --density is needed: the cell {} has no diameters of its own",
                    cell.name);
    return cell.diameters;
}

AnyCell chosen_cell(const std::string& name) {
    return name.ends_with(".toml") ? read_any_cell(name) : find_any_cell(name);
}

/// Cells of tetrahedra as the options say, with free or endless sides and ends.
SolidSpecimen
chosen_solid(const AnyCell& cell, const StiffnessOptions& o, bool endless, const Log& log) {
    SpecimenChoice choice{.tiles = {o.tiles[0], o.tiles[1], o.tiles[2]},
                          .relative_density = o.relative_density,
                          .periodic_sides = endless,
                          .ends = endless ? SpecimenEnds::Periodic : SpecimenEnds::Platen};
    if (o.diameter_mm)
        choice.diameter = *o.diameter_mm * units::mm;
    if (o.element_length_mm)
        choice.element_length = *o.element_length_mm * units::mm;
    choice.elements_across = o.across.value_or(choice.elements_across);
    return build_solid(choice, cell, 0.0, log);
}

CellStiffness compute_solid(const AnyCell& cell, const StiffnessOptions& o, const Log& log) {
    const SolidSpecimen specimen = chosen_solid(cell, o, true, log);
    const SolidStiffness solid =
        solid_stiffness(specimen.mesh, o.youngs_MPa * units::MPa, o.poisson);
    CellStiffness s;
    s.cell = name_of(cell);
    s.tetrahedra = static_cast<Index>(specimen.mesh.tets.size());
    s.elastic.C = solid.C;
    s.elastic.cell_volume = specimen.mesh.box.prod();
    s.solid.relative_density = specimen.relative_density;
    s.moduli = section_moduli(o.youngs_MPa * units::MPa, o.poisson);
    if (std::holds_alternative<StrutCell>(cell))
        s.diameters = specimen.amounts;
    return s;
}

CellStiffness compute(const StiffnessOptions& o, const Log& log) {
    const AnyCell any = chosen_cell(o.cell);
    const auto* struts = std::get_if<StrutCell>(&any);
    CELLGRADE_CHECK(struts != nullptr || o.model != ModelKind::Beams,
                    "the cell {} has no struts and cannot be made of beams", name_of(any));
    if (struts == nullptr || o.model == ModelKind::Solid)
        return compute_solid(any, o, log);
    const StrutCell& cell = *struts;
    CellStiffness s;
    s.cell = cell.name;
    s.diameters = chosen_diameters(cell, o);
    s.moduli = section_moduli(o.youngs_MPa * units::MPa, o.poisson);
    if (o.shear_factor)
        s.moduli.shear_factor = *o.shear_factor;
    s.joints = o.joints;
    s.elastic =
        elastic_stiffness(cell, s.diameters, s.moduli,
                          {.joints = o.joints == "stiffened" ? Joints::Stiffened : Joints::None});
    s.solid = solid_fraction(cell, s.diameters);
    return s;
}

struct Direction {
    const char* name;
    std::array<double, 3> axis;
};
constexpr std::array<Direction, 7> directions{{{"youngs_100_MPa", {1, 0, 0}},
                                               {"youngs_010_MPa", {0, 1, 0}},
                                               {"youngs_001_MPa", {0, 0, 1}},
                                               {"youngs_110_MPa", {1, 1, 0}},
                                               {"youngs_101_MPa", {1, 0, 1}},
                                               {"youngs_011_MPa", {0, 1, 1}},
                                               {"youngs_111_MPa", {1, 1, 1}}}};

Json to_json(const CellStiffness& s) {
    const Mat6 S = compliance(s.elastic.C);
    Json j{{"schema", "cellgrade/stiffness"},
           {"cell", s.cell},
           {"order", {"xx", "yy", "zz", "yz", "xz", "xy"}},
           {"shear_strain", "engineering"},
           {"model", s.tetrahedra > 0 ? "solid" : "beams"}};
    if (s.tetrahedra > 0)
        j["tetrahedra"] = s.tetrahedra;
    else
        j["joints"] = s.joints;
    for (int row = 0; row < 6; ++row) {
        Json values = Json::array();
        for (int column = 0; column < 6; ++column)
            values.push_back(s.elastic.C(row, column) / units::MPa);
        j["stiffness_MPa"].push_back(values);
    }
    j["relative_density"] = s.solid.relative_density;
    j["relative_density_means"] = s.tetrahedra > 0 ? "volume of the solid / cell volume"
                                                   : "volume of the union of the struts / cell "
                                                     "volume";
    if (s.tetrahedra == 0) {
        j["centre_line_density"] = s.elastic.centre_line_density;
        j["centre_line_density_means"] = "sum of section x length / cell volume, overlaps counted "
                                         "repeatedly";
        j["shear_factor"] = s.moduli.shear_factor;
    }
    for (const double diameter : s.diameters)
        j["diameters_mm"].push_back(diameter / units::mm);
    for (const Direction& d : directions)
        j[d.name] = youngs_modulus_along(S, Vec3(d.axis[0], d.axis[1], d.axis[2])) / units::MPa;
    j["bulk_modulus_MPa"] = bulk_modulus(S) / units::MPa;
    j["zener_ratio"] = zener_ratio(s.elastic.C);
    j["cubic_misfit"] = cubic_misfit(s.elastic.C);
    j["voigt_share"] = voigt_share(s.elastic.C, s.solid.relative_density, s.moduli.youngs);
    return j;
}

/// An entry for people: rounding noise beside the largest entry is shown as 0.
double without_noise(const Mat6& C, int row, int column) {
    const double value = C(row, column);
    return std::abs(value) < 1e-12 * C.cwiseAbs().maxCoeff() ? 0.0 : value;
}

std::string to_text(const CellStiffness& s) {
    const Json j = to_json(s);
    std::string text = fmt::format(
        "cell {}, relative density {} ({})\n\n", s.cell, readable(s.solid.relative_density),
        s.tetrahedra > 0 ? fmt::format("solid, {} tetrahedra", s.tetrahedra)
                         : "centre-line " + readable(s.elastic.centre_line_density));
    const std::vector<std::string> axes{"xx", "yy", "zz", "yz", "xz", "xy"};
    std::vector<std::vector<std::string>> rows;
    for (int row = 0; row < 6; ++row) {
        std::vector<std::string>& cells = rows.emplace_back();
        cells.push_back(axes[static_cast<std::size_t>(row)]);
        for (int column = 0; column < 6; ++column)
            cells.push_back(readable(without_noise(s.elastic.C, row, column) / units::MPa));
    }
    text += columns_text({"stiffness_MPa ", "xx", "yy", "zz", "yz", "xz", "xy"}, rows) + "\n";
    std::vector<std::vector<std::string>> lines;
    for (const Direction& d : directions)
        lines.push_back({d.name, readable(j[d.name].get<double>())});
    for (const char* name :
         {"bulk_modulus_MPa", "zener_ratio", "cubic_misfit", "voigt_share", "shear_factor"})
        if (j.contains(name))
            lines.push_back({name, readable(j[name].get<double>())});
    return text + columns_text({"constant ", "value"}, lines);
}

/// A specimen of solid cells between platens.
Json platen_report(const StiffnessOptions& o, const Log& log) {
    const AnyCell cell = chosen_cell(o.cell);
    CELLGRADE_CHECK(o.model ? o.model == ModelKind::Solid
                            : !std::holds_alternative<StrutCell>(cell),
                    "--platens is known for solids only: add --model solid");
    const SolidSpecimen specimen = chosen_solid(cell, o, false, log);
    const PlatenStiffness found =
        platen_stiffness(specimen.mesh, o.youngs_MPa * units::MPa, o.poisson,
                         o.platens == "bonded" ? PlatenFaces::Bonded : PlatenFaces::Lubricated);
    return {{"schema", "cellgrade/platen_stiffness"},
            {"cell", name_of(cell)},
            {"model", "solid"},
            {"platens", o.platens},
            {"tiles", o.tiles},
            {"tetrahedra", specimen.mesh.tets.size()},
            {"relative_density", specimen.relative_density},
            {"apparent_modulus_MPa", found.modulus / units::MPa},
            {"apparent_modulus_means", "force / (gross area x nominal strain), small strain"}};
}

int run_platens(const Session& session, const StiffnessOptions& o) {
    const Json j = platen_report(o, session.log());
    if (session.json) {
        print(j.dump(2) + "\n");
        return exit_code::done;
    }
    std::vector<std::vector<std::string>> lines;
    for (const char* name : {"tetrahedra", "relative_density", "apparent_modulus_MPa"})
        lines.push_back({name, readable(j[name].get<double>())});
    print(fmt::format("cell {}, {} x {} x {} between {} platens\n\n", j["cell"].get<std::string>(),
                      o.tiles[0], o.tiles[1], o.tiles[2], o.platens) +
          columns_text({"specimen ", "value"}, lines));
    return exit_code::done;
}

int run_stiffness(const Session& session, const StiffnessOptions& o) {
    if (!o.platens.empty())
        return run_platens(session, o);
    CELLGRADE_CHECK(o.tiles == (std::vector<Index>{1, 1, 1}),
                    "--tiles goes with --platens: the endless lattice needs one cell");
    const CellStiffness s = compute(o, session.log());
    print(session.json ? to_json(s).dump(2) + "\n" : to_text(s));
    return exit_code::done;
}

} // namespace

void add_stiffness_command(CLI::App& program, Session& session) {
    CLI::App& command = new_command(
        program, session, "stiffness",
        "Elastic stiffness tensor of the endless lattice of a cell, or of a specimen between "
        "platens.",
        "  cellgrade stiffness octet --density 0.1 --youngs-MPa 18 --poisson 0.45\n"
        "  cellgrade stiffness examples/02_own_cell/cell.toml --diameter-mm 0.9 --youngs-MPa 18 "
        "--poisson 0.45 --json\n"
        "  cellgrade stiffness gyroid_wall --density 0.3 --across 1 --youngs-MPa 18 --poisson "
        "0.45\n"
        "  cellgrade stiffness gyroid_wall --density 0.3 --across 1 --platens bonded --youngs-MPa "
        "18 --poisson 0.45\n");
    auto o = std::make_shared<StiffnessOptions>();
    const double tiny = std::numeric_limits<double>::min();
    command.add_option("CELL", o->cell, "cell of the catalogue, or a file that ends in .toml")
        ->required();
    command
        .add_option("--diameter-mm", o->diameter_mm,
                    "of the (thickest) strut; needless for a cell with diameters_mm of its own")
        ->type_name("MM")
        ->check(CLI::Range(tiny, 1e6))
        ->group("Struts");
    command
        .add_option("--density", o->relative_density,
                    "instead: relative density, share of the cell volume")
        ->type_name("SHARE")
        ->check(CLI::Range(tiny, 1.0))
        ->group("Struts");
    add_model_option(command, o->model, "Solid");
    command
        .add_option("--across", o->across,
                    "solid: mesh cubes across the narrowest wall or strut, 2 without it")
        ->type_name("N")
        ->check(CLI::Range(1.0, 20.0))
        ->group("Solid");
    command
        .add_option("--element-length-mm", o->element_length_mm, "solid: edge of the mesh cubes")
        ->type_name("MM")
        ->check(CLI::Range(tiny, 1e6))
        ->excludes("--across")
        ->group("Solid");
    command
        .add_option("--platens", o->platens,
                    "solid: instead the apparent modulus of a specimen between two platens")
        ->type_name("bonded|lubricated")
        ->check(CLI::IsMember({"bonded", "lubricated"}))
        ->group("Solid");
    command.add_option("--tiles", o->tiles, "cells along x, y, z between the platens")
        ->type_name("NX NY NZ")
        ->expected(3)
        ->check(CLI::Range(1, 200))
        ->default_str("1 1 1")
        ->group("Solid");
    command.add_option("--joints", o->joints, "what a joint adds to the struts that meet in it")
        ->type_name("none|stiffened")
        ->check(CLI::IsMember({"none", "stiffened"}))
        ->capture_default_str()
        ->group("Struts");
    command.add_option("--youngs-MPa", o->youngs_MPa, "Young's modulus of the polymer")
        ->type_name("MPA")
        ->required()
        ->check(CLI::Range(tiny, 1e9))
        ->group("Polymer");
    command.add_option("--poisson", o->poisson, "Poisson's ratio of the polymer")
        ->type_name("RATIO")
        ->required()
        ->check(CLI::Range(0.0, 0.4999999))
        ->group("Polymer");
    command
        .add_option("--shear-factor", o->shear_factor,
                    "of the round section; without it that of Cowper (1966)")
        ->type_name("FACTOR")
        ->check(CLI::Range(tiny, 1e9))
        ->group("Polymer");
    command.callback(
        [&session, o] { session.action = [&session, o] { return run_stiffness(session, *o); }; });
}

} // namespace cellgrade
