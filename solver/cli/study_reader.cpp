// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/key_range.hpp"
#include "solver/cli/study.hpp"
#include "solver/core/keyed_file.hpp"
#include "solver/core/units.hpp"

#include <cmath>
#include <cstddef>
#include <string_view>

namespace cellgrade {

namespace {

Index count_within(
    const KeyedTable& t, std::string_view key, Index fallback, Index low, Index high) {
    const Index value = t.integer_or(key, fallback);
    if (value < low || value > high)
        throw t.error(key,
                      fmt::format("{} is out of range; {} to {} is allowed", value, low, high));
    return value;
}

std::optional<double> optional_positive(const KeyedTable& t, std::string_view key, double unit) {
    return t.has(key) ? std::optional(t.positive(key) * unit) : std::nullopt;
}

void check_density(const KeyedTable& t, std::string_view key, std::size_t i, double value) {
    if (value <= 0.0 || value >= 1.0)
        throw Error(Fault::Input,
                    fmt::format("{} is not a relative density; a share of the cell volume between "
                                "0 and 1 is needed",
                                value),
                    t.where(key, i));
}

std::vector<double> densities(const KeyedTable& t, std::string_view key) {
    if (!t.has(key))
        return {};
    const std::vector<double> values = t.numbers(key);
    for (std::size_t i = 0; i < values.size(); ++i)
        check_density(t, key, i, values[i]);
    return values;
}

std::vector<double> in_range(const KeyedTable& t, std::string_view key, double low, double high) {
    if (!t.has(key))
        return {};
    const std::vector<double> values = t.numbers(key);
    for (std::size_t i = 0; i < values.size(); ++i)
        if (!(values[i] >= low && values[i] <= high))
            throw Error(
                Fault::Input,
                fmt::format("{} is out of range; {} to {} is allowed", values[i], low, high),
                t.where(key, i));
    return values;
}

std::vector<double> positives(const KeyedTable& t, std::string_view key) {
    if (!t.has(key))
        return {};
    const std::vector<double> values = t.numbers(key);
    for (std::size_t i = 0; i < values.size(); ++i)
        if (values[i] <= 0.0)
            throw Error(Fault::Input,
                        fmt::format("{} is not allowed; a number above 0 is needed", values[i]),
                        t.where(key, i));
    return values;
}

/// A whole number of edges of the cell.
Index direction_step(const KeyedTable& t, std::string_view key, std::size_t i, double step) {
    if (step != std::floor(step) || std::abs(step) > 9.0)
        throw Error(Fault::Input,
                    fmt::format("{} is not a whole number of -9 to 9 edges of the cell", step),
                    t.where(key, i));
    return static_cast<Index>(step);
}

/// A whole lattice instead of a cell.
CellChoice read_lattice_files(const KeyedTable& t, const std::filesystem::path& folder) {
    for (const char* key : {"name", "file", "size_mm", "direction"})
        if (t.has(key))
            throw t.error(key, "not together with nodes_file, which gives a whole lattice");
    CellChoice cell;
    cell.nodes_file = folder / t.text("nodes_file");
    cell.struts_file = folder / t.text("struts_file");
    t.finish();
    return cell;
}

/// What a whole lattice from tables cannot be.
void check_whole(const KeyedTable& t, const KeyedTable& model, StudyConfig& c) {
    for (const char* key :
         {"tiles", "relative_density", "layer_relative_densities", "elements_across", "fillet_mm"})
        if (t.has(key))
            throw t.error(key, "not for a whole lattice (cell.nodes_file): its struts take "
                               "diameter_mm or the diameters of the table, and it is not repeated");
    if (c.specimen.periodic_sides)
        throw t.error("sides",
                      "a whole lattice (cell.nodes_file) is not endless; free or confined");
    if (c.model == ModelKind::Solid)
        throw model.error("kind", "a whole lattice (cell.nodes_file) is crushed as beams");
    c.specimen.tiles = {1, 1, 1};
}

CellChoice read_cell(const KeyedTable& t, const std::filesystem::path& folder, bool swept) {
    CellChoice cell;
    const bool name = t.has("name"), file = t.has("file");
    const bool tables = t.has("nodes_file") || t.has("struts_file");
    if (swept && (name || file || tables))
        throw t.error(name   ? "name"
                      : file ? "file"
                             : "nodes_file",
                      "not together with sweep.cells");
    if (tables)
        return read_lattice_files(t, folder);
    if (!swept && name == file)
        throw t.error(name ? "file" : "name",
                      "exactly one of `name` (a cell of the catalogue), `file`, and `nodes_file` "
                      "with `struts_file` is needed");
    if (name)
        cell.name = t.text("name");
    if (file)
        cell.file = folder / t.text("file");
    cell.scale = optional_positive(t, "size_mm", units::mm);
    if (t.has("direction")) {
        const std::vector<double> steps = t.numbers("direction");
        if (steps.size() != 3)
            throw t.error("direction", fmt::format("three whole numbers are needed, {} given; such "
                                                   "as [1, 1, 0]",
                                                   steps.size()));
        for (std::size_t i = 0; i < 3; ++i)
            cell.direction[i] = direction_step(t, "direction", i, steps[i]);
    }
    t.finish();
    return cell;
}

void read_density(const KeyedTable& t, SpecimenChoice& s) {
    s.relative_density = optional_positive(t, "relative_density", 1.0);
    if (s.relative_density)
        check_density(t, "relative_density", 0, *s.relative_density);
    s.diameter = optional_positive(t, "diameter_mm", units::mm);
    s.layer_relative_densities = densities(t, "layer_relative_densities");
    const int given = (s.relative_density ? 1 : 0) + (s.diameter ? 1 : 0) +
                      (s.layer_relative_densities.empty() ? 0 : 1);
    if (given > 1)
        throw t.error(s.diameter ? "diameter_mm" : "layer_relative_densities",
                      "only one of relative_density, diameter_mm and layer_relative_densities may "
                      "be given");
    if (!s.layer_relative_densities.empty() &&
        static_cast<Index>(s.layer_relative_densities.size()) != s.tiles[2])
        throw t.error("layer_relative_densities",
                      fmt::format("{} densities for {} layers of cells; one a layer is needed",
                                  s.layer_relative_densities.size(), s.tiles[2]));
}

void read_borders(const KeyedTable& t, SpecimenChoice& s) {
    const std::string sides = t.choice_or("sides", {"free", "periodic", "confined"}, "free");
    s.periodic_sides = sides == "periodic";
    s.sides = sides == "confined" ? SpecimenSides::Confined : SpecimenSides::Free;
    const std::string ends = t.choice_or("ends", {"platen", "bonded", "periodic"}, "platen");
    s.ends = ends == "platen"   ? SpecimenEnds::Platen
             : ends == "bonded" ? SpecimenEnds::Bonded
                                : SpecimenEnds::Periodic;
    if (s.ends == SpecimenEnds::Periodic && !s.periodic_sides)
        throw t.error("ends", "periodic ends need sides = \"periodic\"");
}

SpecimenChoice read_specimen(const KeyedTable& t) {
    SpecimenChoice s;
    if (t.has("tiles")) {
        const std::vector<double> tiles = t.numbers("tiles");
        if (tiles.size() != 3)
            throw t.error("tiles", fmt::format("three counts are needed, {} given", tiles.size()));
        for (std::size_t i = 0; i < 3; ++i) {
            if (tiles[i] < 1.0 || tiles[i] > 200.0 || tiles[i] != std::floor(tiles[i]))
                throw Error(Fault::Input, fmt::format("{} is not a count of 1 to 200", tiles[i]),
                            t.where("tiles", i));
            s.tiles[i] = static_cast<Index>(tiles[i]);
        }
    }
    read_density(t, s);
    read_borders(t, s);
    s.element_length = optional_positive(t, "element_length_mm", units::mm);
    if (s.element_length && t.has("elements_per_strut"))
        throw t.error("elements_per_strut", "not together with element_length_mm");
    if (t.has("elements_per_strut"))
        s.elements_per_strut = count_within(t, "elements_per_strut", 4, 1, 100);
    s.element_refinement = within(t, "element_refinement", 1.0, 0.1, 10.0);
    s.elements_across = within(t, "elements_across", s.elements_across, 1.0, 20.0);
    s.fillet_radius = within(t, "fillet_mm", 0.0, 0.0, 1000.0) * units::mm;
    s.stiffened_joints = t.choice_or("joints", {"none", "stiffened"}, "stiffened") == "stiffened";
    s.joint_stiffness = within(t, "joint_stiffness", s.joint_stiffness, 1.0, 100.0);
    s.node_offset_share = within(t, "node_offset_share", 0.0, 0.0, 0.2);
    s.diameter_scatter = within(t, "diameter_scatter_share", 0.0, 0.0, 0.3);
    s.buckling_shape = within(t, "buckling_shape_share", 0.0, 0.0, 1.0);
    if (s.buckling_shape > 0.0 && s.ends == SpecimenEnds::Periodic)
        throw t.error("buckling_shape_share", "not together with periodic ends: the mode is that "
                                              "of a specimen between glued platens");
    s.seed = count_within(t, "seed", 1, 0, INT32_MAX);
    s.min_diameter = within(t, "min_diameter_mm", 0.0, 0.0, 1000.0) * units::mm;
    t.finish();
    return s;
}

void read_sideways(const KeyedTable& t, CrushLoading& l, bool swept) {
    l.shear_to_strain = within(t, "shear_to_strain", 0.0, 0.0, 3.0);
    l.path_angle = within(t, "path_angle_deg", 0.0, 0.0, 60.0) * units::degree;
    if (swept) { // of the swept cases; the others are crushed straight down
        if (l.shear_to_strain == 0.0)
            l.shear_to_strain = usual_shear_strain;
        if (t.has("precompression"))
            throw t.error("precompression", "not together with sweep.shear_precompressions");
        return;
    }
    if (l.shear_to_strain > 0.0 && l.path_angle > 0.0)
        throw t.error("path_angle_deg", "not together with shear_to_strain: shear after "
                                        "compression and an oblique path are two loads");
    if (l.shear_to_strain > 0.0 && l.unload)
        throw t.error("unload", "not together with shear_to_strain");
    if (l.shear_to_strain == 0.0) {
        if (t.has("precompression"))
            throw t.error("precompression", "needs shear_to_strain: it is the strain at which the "
                                            "specimen is sheared");
        return;
    }
    if (t.has("to_strain"))
        throw t.error("to_strain", "not together with shear_to_strain; the strain at which a "
                                   "specimen is sheared is `precompression`");
    l.to_strain = within(t, "precompression", 0.0, 0.0, 0.9);
}

/// The speed of a drop is that of its striker, and how far it goes the pad decides.
void read_drop(const KeyedTable& loading, const KeyedTable& striker, StudyConfig& c) {
    c.striker = read_striker(striker);
    for (const char* key : {"speed_m_per_s", "strain_rate_per_s", "to_strain", "to_stress_ratio",
                            "unload", "shear_to_strain", "precompression", "path_angle_deg"})
        if (loading.has(key))
            throw loading.error(key, "not in the study of a drop, which [striker] describes; "
                                     "[loading] has temperature_C, platen_friction and "
                                     "strut_friction");
    c.loading.speed_m_per_s =
        c.striker->striker.speed_m_per_s * std::cos(c.striker->striker.path_angle);
}

void read_loading(const KeyedTable& t, StudyUse use, StudyConfig& c) {
    CrushLoading& l = c.loading;
    l.speed_m_per_s = optional_positive(t, "speed_m_per_s", 1.0);
    l.strain_rate_per_s = optional_positive(t, "strain_rate_per_s", 1.0);
    if (l.speed_m_per_s && l.strain_rate_per_s)
        throw t.error("speed_m_per_s", "not together with strain_rate_per_s: a true impact has a "
                                       "speed, a quasi-static test a strain rate");
    l.to_strain = within(t, "to_strain", l.to_strain, 0.001, 0.95);
    l.to_stress_ratio = optional_positive(t, "to_stress_ratio", 1.0);
    if (l.to_stress_ratio && *l.to_stress_ratio <= 1.0)
        throw t.error("to_stress_ratio", "a multiple of the plateau stress above 1 is needed");
    l.unload = t.flag_or("unload", l.unload);
    read_sideways(t, l, !c.sweep.shear_precompressions.empty());
    if (t.has("temperature_C"))
        c.temperature_C = within(t, "temperature_C", 0.0, -150.0, 300.0);
    if (t.has("platen_friction"))
        c.platen_friction = within(t, "platen_friction", 0.0, 0.0, 2.0);
    if (t.has("strut_friction"))
        c.strut_friction = within(t, "strut_friction", 0.0, 0.0, 2.0);
    t.finish(); // first, so that a misspelt rate is told as such and not as a missing one
    if (use == StudyUse::OneCrush && !l.speed_m_per_s && !l.strain_rate_per_s)
        throw t.error("strain_rate_per_s", "missing; strain_rate_per_s (quasi-static) or "
                                           "speed_m_per_s (impact) is needed");
}

void read_model(const KeyedTable& t, StudyConfig& c) {
    CrushNumerics& n = c.numerics;
    if (t.has("kind"))
        c.model = t.choice_or("kind", {"beams", "solid"}, "beams") == "solid" ? ModelKind::Solid
                                                                              : ModelKind::Beams;
    c.section = t.choice_or("section", {"resultants", "fibres"}, "fibres") == "fibres"
                    ? SectionKind::Fibres
                    : SectionKind::Resultants;
    c.self_contact = t.flag_or("self_contact", c.self_contact);
    n.step_safety = within(t, "step_safety", n.step_safety, 0.1, 0.99);
    n.bulk_viscosity = within(t, "bulk_viscosity", n.bulk_viscosity, 0.0, 1.0);
    n.quadratic_viscosity = within(t, "quadratic_viscosity", n.quadratic_viscosity, 0.0, 10.0);
    n.damping_ratio = within(t, "damping_ratio", n.damping_ratio, 0.0, 10.0);
    n.scale_rotary_inertia = t.flag_or("scale_rotary_inertia", n.scale_rotary_inertia);
    n.added_mass_share = within(t, "added_mass_share", n.added_mass_share, 0.0, 1.0);
    n.rows_per_strain = within(t, "rows_per_strain", n.rows_per_strain, 50.0, 100000.0);
    n.frames = count_within(t, "frames", n.frames, 0, 10000);
    n.solver_speed_m_per_s = optional_positive(t, "solver_speed_m_per_s", 1.0);
    c.solver_speed_share = within(t, "solver_speed_share", 1.0, 0.01, 2.0);
    t.finish();
}

CrushLimits read_limits(const KeyedTable& t) {
    CrushLimits l;
    l.energy_closure = within(t, "energy_closure", l.energy_closure, 1e-12, 0.1);
    l.kinetic_share = within(t, "kinetic_share", l.kinetic_share, 1e-6, 0.5);
    l.platen_balance = within(t, "platen_balance", l.platen_balance, 1e-6, 0.5);
    l.penetration = within(t, "penetration", l.penetration, 1e-6, 1.0);
    t.finish();
    return l;
}

PrintLimits read_print(const KeyedTable& t, PrintChoice& printed) {
    PrintLimits l;
    printed.as_drawn = t.flag_or("as_drawn", false);
    if (const std::string axis = t.choice_or("build_direction", {"x", "y", "z"}, ""); !axis.empty())
        printed.build_axis = axis.front() - 'x';
    if (t.has("scatter_seed"))
        printed.scatter_seed = count_within(t, "scatter_seed", 0, 0, INT32_MAX);
    l.least_solid = within(t, "narrowest_wall_mm", 0.0, 0.0, 1000.0) * units::mm;
    l.least_opening = within(t, "narrowest_opening_mm", 0.0, 0.0, 1000.0) * units::mm;
    t.finish();
    return l;
}

SweepAxes read_sweep(const KeyedTable& t) {
    SweepAxes s;
    if (t.has("cells"))
        s.cells = t.texts("cells");
    s.relative_densities = densities(t, "relative_densities");
    if (t.has("directions")) {
        const std::vector<std::vector<double>> rows = t.rows("directions", 3);
        for (std::size_t r = 0; r < rows.size(); ++r) {
            auto& direction = s.directions.emplace_back();
            for (std::size_t i = 0; i < 3; ++i)
                direction[i] = direction_step(t, "directions", r, rows[r][i]);
        }
    }
    s.temperatures_C = in_range(t, "temperatures_C", -150.0, 300.0);
    s.strain_rates_per_s = positives(t, "strain_rates_per_s");
    s.speeds_m_per_s = positives(t, "speeds_m_per_s");
    s.shear_precompressions = in_range(t, "shear_precompressions", 0.0, 0.9);
    s.path_angles_deg = in_range(t, "path_angles_deg", 1e-3, 60.0);
    t.finish();
    return s;
}

/// The table of that name, or an empty one, so that defaults are read in one way.
KeyedTable table_or_empty(const KeyedTable& root, std::string_view key, const std::string& file) {
    const std::optional<KeyedTable> found = root.optional_table(key);
    return found ? *found : parse_keyed_text("", file);
}

void check_sweep(const KeyedTable& root, StudyUse use, const StudyConfig& c) {
    if (use != StudyUse::Table)
        return;
    const bool has_rate = c.loading.speed_m_per_s || c.loading.strain_rate_per_s ||
                          !c.sweep.strain_rates_per_s.empty() || !c.sweep.speeds_m_per_s.empty();
    if (!has_rate)
        throw root.error("sweep", "no rate: sweep.strain_rates_per_s, sweep.speeds_m_per_s or one "
                                  "in [loading] is needed");
    if ((!c.sweep.shear_precompressions.empty() || !c.sweep.path_angles_deg.empty()) &&
        c.loading.path_angle > 0.0)
        throw root.error("sweep", "shear_precompressions and path_angles_deg not together with "
                                  "loading.path_angle_deg");
    if (!c.sweep.path_angles_deg.empty() && c.sweep.shear_precompressions.empty() &&
        c.loading.shear_to_strain > 0.0)
        throw root.error("sweep", "path_angles_deg not together with loading.shear_to_strain; give "
                                  "shear_precompressions for sheared cases beside oblique ones");
    if (!c.sweep.relative_densities.empty() && !c.specimen.layer_relative_densities.empty())
        throw root.error("sweep", "relative_densities not together with "
                                  "specimen.layer_relative_densities");
}

} // namespace

StudyConfig read_study(const std::filesystem::path& path, StudyUse use) {
    StudyConfig c;
    c.path = path;
    c.text = read_text_file(path);
    const std::string file = path.string();
    const KeyedTable root = parse_keyed_text(c.text, file);
    if (root.integer("schema") != study_schema)
        throw root.error("schema", fmt::format("schema {} is not known; this program reads schema "
                                               "{}",
                                               root.integer("schema"), study_schema));
    c.name = root.text_or("name", path.stem().string());
    c.about = root.text_or("about", "");
    const KeyedTable polymer = root.table("polymer");
    c.polymer = polymer.text("card");
    polymer.finish();
    if (c.polymer.ends_with(".toml"))
        c.polymer = (path.parent_path() / c.polymer).string();
    c.sweep = read_sweep(use == StudyUse::Table ? root.table("sweep")
                                                : table_or_empty(root, "sweep", file));
    const bool swept = use == StudyUse::Table && !c.sweep.cells.empty();
    c.cell = read_cell(swept ? table_or_empty(root, "cell", file) : root.table("cell"),
                       path.parent_path(), swept);
    c.specimen = read_specimen(table_or_empty(root, "specimen", file));
    read_loading(use == StudyUse::OneCrush ? root.table("loading")
                                           : table_or_empty(root, "loading", file),
                 use, c);
    if (use == StudyUse::Drop)
        read_drop(table_or_empty(root, "loading", file), root.table("striker"), c);
    else if (root.has("striker") && use != StudyUse::Geometry)
        throw root.error("striker", "of `cellgrade drop`; this command reads [loading]");
    else if (const auto striker = root.optional_table("striker"))
        c.striker = read_striker(*striker);
    read_model(table_or_empty(root, "model", file), c);
    c.limits = read_limits(table_or_empty(root, "limits", file));
    if (!c.cell.nodes_file.empty())
        check_whole(table_or_empty(root, "specimen", file), table_or_empty(root, "model", file), c);
    c.print = read_print(table_or_empty(root, "print", file), c.printed);
    if (const auto uncertainty = root.optional_table("uncertainty"))
        c.uncertainty = read_uncertainty(*uncertainty, c.specimen.tiles);
    check_sweep(root, use, c);
    root.finish();
    return c;
}

} // namespace cellgrade
