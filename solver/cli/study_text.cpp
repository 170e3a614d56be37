// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/study_cases.hpp"
#include "solver/core/units.hpp"

#include <fmt/format.h>

#include <array>
#include <optional>
#include <span>
#include <string_view>

namespace cellgrade {

namespace {

/// Writes `key = value` lines; numbers with the fewest digits that read back equal.
class TomlText {
public:
    void table(std::string_view name) { text_ += fmt::format("\n[{}]\n", name); }
    void number(std::string_view key, double value) {
        text_ += fmt::format("{} = {}\n", key, number_text(value));
    }
    void number(std::string_view key, std::optional<double> value, double unit = 1.0) {
        if (value)
            number(key, *value / unit);
    }
    void integer(std::string_view key, Index value) {
        text_ += fmt::format("{} = {}\n", key, value);
    }
    void flag(std::string_view key, bool value) { text_ += fmt::format("{} = {}\n", key, value); }
    void text(std::string_view key, std::string_view value) {
        text_ += fmt::format("{} = {}\n", key, quoted(value));
    }
    void numbers(std::string_view key, std::span<const double> values) {
        std::string list;
        for (const double value : values)
            list += (list.empty() ? "" : ", ") + number_text(value);
        if (!values.empty())
            text_ += fmt::format("{} = [{}]\n", key, list);
    }
    void integers(std::string_view key, std::span<const Index> values) {
        text_ += fmt::format("{} = [{}]\n", key, fmt::join(values, ", "));
    }
    void directions(std::string_view key, std::span<const std::array<Index, 3>> values) {
        std::string list;
        for (const auto& value : values)
            list += fmt::format("{}[{}]", list.empty() ? "" : ", ", fmt::join(value, ", "));
        if (!values.empty())
            text_ += fmt::format("{} = [{}]\n", key, list);
    }
    void texts(std::string_view key, std::span<const std::string> values) {
        std::string list;
        for (const std::string& value : values)
            list += (list.empty() ? "" : ", ") + quoted(value);
        if (!values.empty())
            text_ += fmt::format("{} = [{}]\n", key, list);
    }
    [[nodiscard]] const std::string& str() const { return text_; }

private:
    /// TOML wants a digit after the point of a float; "{}" of fmt is the shortest round trip.
    static std::string number_text(double value) {
        std::string digits = fmt::format("{}", value);
        if (digits.find_first_of(".e") == std::string::npos)
            digits += ".0";
        return digits;
    }
    static std::string quoted(std::string_view value) {
        std::string out = "\"";
        for (const char c : value) {
            if (c == '"' || c == '\\')
                out += '\\';
            if (c == '\n')
                out += "\\n";
            else
                out += c;
        }
        return out + "\"";
    }

    std::string text_;
};

const char* ends_name(SpecimenEnds ends) {
    switch (ends) {
    case SpecimenEnds::Platen:
        return "platen";
    case SpecimenEnds::Bonded:
        return "bonded";
    case SpecimenEnds::Periodic:
        break;
    }
    return "periodic";
}

constexpr std::array<Index, 3> straight{0, 0, 1};

void write_specimen(TomlText& t, const SpecimenChoice& s, bool is_whole) {
    t.table("specimen");
    if (!is_whole)
        t.integers("tiles", s.tiles);
    t.number("relative_density", s.relative_density);
    t.number("diameter_mm", s.diameter, units::mm);
    t.numbers("layer_relative_densities", s.layer_relative_densities);
    t.text("sides", s.periodic_sides                     ? "periodic"
                    : s.sides == SpecimenSides::Confined ? "confined"
                                                         : "free");
    t.text("ends", ends_name(s.ends));
    t.number("element_length_mm", s.element_length, units::mm);
    if (s.elements_per_strut)
        t.integer("elements_per_strut", *s.elements_per_strut);
    if (s.element_refinement != 1.0) // left out so that studies without it keep their key
        t.number("element_refinement", s.element_refinement);
    t.text("joints", s.stiffened_joints ? "stiffened" : "none");
    t.number("joint_stiffness", s.joint_stiffness);
    if (!is_whole) {
        t.number("elements_across", s.elements_across);
        t.number("fillet_mm", s.fillet_radius / units::mm);
    }
    t.number("node_offset_share", s.node_offset_share);
    t.number("diameter_scatter_share", s.diameter_scatter);
    t.number("buckling_shape_share", s.buckling_shape);
    t.integer("seed", s.seed);
    t.number("min_diameter_mm", s.min_diameter / units::mm);
}

/// How the platen moves.
void write_path(TomlText& t, const StudyConfig& c) {
    t.number("speed_m_per_s", c.loading.speed_m_per_s);
    t.number("strain_rate_per_s", c.loading.strain_rate_per_s);
    const bool sheared = c.loading.shear_to_strain > 0.0 && c.sweep.shear_precompressions.empty();
    t.number(sheared ? "precompression" : "to_strain", c.loading.to_strain);
    if (c.loading.shear_to_strain > 0.0)
        t.number("shear_to_strain", c.loading.shear_to_strain);
    if (c.loading.path_angle > 0.0)
        t.number("path_angle_deg", c.loading.path_angle / units::degree);
    t.number("to_stress_ratio", c.loading.to_stress_ratio);
    t.flag("unload", c.loading.unload);
}

void write_run(TomlText& t, const StudyConfig& c) {
    t.table("loading");
    if (!c.striker)
        write_path(t, c);
    t.number("temperature_C", c.temperature_C);
    t.number("platen_friction", c.platen_friction);
    t.number("strut_friction", c.strut_friction);
    t.table("model");
    if (c.model)
        t.text("kind", *c.model == ModelKind::Solid ? "solid" : "beams");
    t.text("section", c.section == SectionKind::Fibres ? "fibres" : "resultants");
    t.flag("self_contact", c.self_contact);
    t.number("step_safety", c.numerics.step_safety);
    t.number("bulk_viscosity", c.numerics.bulk_viscosity);
    t.number("quadratic_viscosity", c.numerics.quadratic_viscosity);
    t.number("damping_ratio", c.numerics.damping_ratio);
    t.flag("scale_rotary_inertia", c.numerics.scale_rotary_inertia);
    t.number("added_mass_share", c.numerics.added_mass_share);
    t.number("rows_per_strain", c.numerics.rows_per_strain);
    t.integer("frames", c.numerics.frames);
    t.number("solver_speed_m_per_s", c.numerics.solver_speed_m_per_s);
    if (c.solver_speed_share != 1.0)
        t.number("solver_speed_share", c.solver_speed_share);
    t.table("limits");
    t.number("energy_closure", c.limits.energy_closure);
    t.number("kinetic_share", c.limits.kinetic_share);
    t.number("platen_balance", c.limits.platen_balance);
    t.number("penetration", c.limits.penetration);
}

/// Left out when nothing is asked for, so that studies without it keep their text and their key.
void write_print(TomlText& t, const PrintLimits& print, const PrintChoice& printed) {
    const bool limits = print.least_solid != 0.0 || print.least_opening != 0.0;
    if (!limits && !printed.as_drawn && !printed.build_axis && !printed.scatter_seed)
        return;
    t.table("print");
    if (printed.as_drawn)
        t.flag("as_drawn", true);
    if (printed.build_axis)
        t.text("build_direction", std::string(1, static_cast<char>('x' + *printed.build_axis)));
    if (printed.scatter_seed)
        t.integer("scatter_seed", *printed.scatter_seed);
    if (limits) {
        t.number("narrowest_wall_mm", print.least_solid / units::mm);
        t.number("narrowest_opening_mm", print.least_opening / units::mm);
    }
}

void write_sweep(TomlText& t, const SweepAxes& s) {
    if (s == SweepAxes{})
        return;
    t.table("sweep");
    t.texts("cells", s.cells);
    t.numbers("relative_densities", s.relative_densities);
    t.directions("directions", s.directions);
    t.numbers("temperatures_C", s.temperatures_C);
    t.numbers("strain_rates_per_s", s.strain_rates_per_s);
    t.numbers("speeds_m_per_s", s.speeds_m_per_s);
    t.numbers("shear_precompressions", s.shear_precompressions);
    t.numbers("path_angles_deg", s.path_angles_deg);
}

} // namespace

std::string study_text(const StudyConfig& study) {
    TomlText t;
    t.integer("schema", study_schema);
    t.text("name", study.name);
    if (!study.about.empty())
        t.text("about", study.about);
    t.table("polymer");
    t.text("card", study.polymer);
    t.table("cell");
    if (!study.cell.name.empty())
        t.text("name", study.cell.name);
    if (!study.cell.file.empty())
        t.text("file", study.cell.file.string());
    if (!study.cell.nodes_file.empty()) {
        t.text("nodes_file", study.cell.nodes_file.string());
        t.text("struts_file", study.cell.struts_file.string());
    }
    t.number("size_mm", study.cell.scale, units::mm);
    if (study.cell.direction != straight)
        t.integers("direction", study.cell.direction);
    write_specimen(t, study.specimen, !study.cell.nodes_file.empty());
    write_run(t, study);
    write_print(t, study.print, study.printed);
    write_sweep(t, study.sweep);
    return t.str() + (study.striker ? striker_text(*study.striker) : "") +
           uncertainty_text(study.uncertainty);
}

namespace {

/// One of the ways beside straight compression in which a swept case is loaded.
struct Sideways {
    std::optional<double> precompression; ///< set: sheared
    double path_angle = 0.0;              ///< [rad]
};

std::vector<CrushLoading> swept_rates(const StudyConfig& study) {
    std::vector<CrushLoading> rates;
    for (const double rate : study.sweep.strain_rates_per_s)
        rates.emplace_back(study.loading).strain_rate_per_s = rate;
    for (const double speed : study.sweep.speeds_m_per_s)
        rates.emplace_back(study.loading).speed_m_per_s = speed;
    for (std::size_t i = 0; i < rates.size(); ++i) {
        if (i < study.sweep.strain_rates_per_s.size())
            rates[i].speed_m_per_s.reset();
        else
            rates[i].strain_rate_per_s.reset();
    }
    return rates;
}

} // namespace

std::vector<StudyConfig> expand_sweep(const StudyConfig& study) {
    std::vector<StudyConfig> cases{study};
    cases.front().sweep = {};
    cases.front().uncertainty = {};
    const auto cross = [&cases](const auto& values, auto apply) {
        if (values.empty())
            return;
        std::vector<StudyConfig> product;
        for (const StudyConfig& base : cases)
            for (const auto& value : values)
                apply(product.emplace_back(base), value);
        cases = std::move(product);
    };
    cross(study.sweep.cells, [&study](StudyConfig& c, const std::string& cell) {
        const bool is_file = cell.ends_with(".toml");
        c.cell.name = is_file ? "" : cell;
        c.cell.file = is_file ? study.path.parent_path() / cell : std::filesystem::path();
    });
    cross(study.sweep.relative_densities, [](StudyConfig& c, double density) {
        c.specimen.relative_density = density;
        c.specimen.diameter.reset();
    });
    cross(study.sweep.directions,
          [](StudyConfig& c, const std::array<Index, 3>& d) { c.cell.direction = d; });
    cross(study.sweep.temperatures_C, [](StudyConfig& c, double T) { c.temperature_C = T; });
    cross(swept_rates(study),
          [](StudyConfig& c, const CrushLoading& loading) { c.loading = loading; });
    if (study.sweep.shear_precompressions.empty() && study.sweep.path_angles_deg.empty())
        return cases;
    std::vector<Sideways> ways{{}};
    for (const double strain : study.sweep.shear_precompressions)
        ways.push_back({.precompression = strain});
    for (const double angle : study.sweep.path_angles_deg)
        ways.push_back({.path_angle = angle * units::degree});
    cross(ways, [&study](StudyConfig& c, const Sideways& way) {
        c.loading.shear_to_strain = 0.0;
        c.loading.path_angle = way.path_angle;
        if (way.precompression) {
            c.loading.shear_to_strain = study.loading.shear_to_strain;
            c.loading.to_strain = *way.precompression;
            c.loading.to_stress_ratio.reset();
            c.loading.unload = false;
        }
    });
    return cases;
}

} // namespace cellgrade
