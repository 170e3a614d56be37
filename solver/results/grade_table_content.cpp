// SPDX-License-Identifier: Apache-2.0
#include "solver/results/grade_table_content.hpp"

#include "solver/core/error.hpp"
#include "solver/grades/case_fields.hpp"
#include "solver/grades/trait_fields.hpp"
#include "solver/homogenize/shear_traits.hpp"
#include "solver/results/trait_table.hpp"

#include <algorithm>
#include <array>
#include <cstdint>
#include <limits>

namespace cellgrade {

namespace {

/// A column out of rows: what `pick` takes of each.
template <class Rows, class Pick>
h5::Column column(const std::string& name, const std::string& units, const Rows& rows, Pick pick) {
    std::vector<std::decay_t<decltype(pick(rows.front()))>> values;
    for (const auto& row : rows)
        values.push_back(pick(row));
    return {name, units, std::move(values)};
}

/// The direction as text and as three whole numbers; `of` gives the direction of a row.
template <class Rows, class Of>
void add_direction(h5::Table& table, const Rows& rows, Of of) {
    table.columns.push_back(
        column("direction", "", rows, [&](const auto& r) { return direction_text(of(r)); }));
    for (std::size_t axis = 0; axis < 3; ++axis)
        table.columns.push_back(
            column(fmt::format("direction_{}", "xyz"[axis]), "1", rows,
                   [&](const auto& r) { return static_cast<std::int64_t>(of(r)[axis]); }));
}

std::array<Index, 3> direction_from(const h5::Table& table, std::size_t row) {
    return {static_cast<Index>(table.integers("direction_x")[row]),
            static_cast<Index>(table.integers("direction_y")[row]),
            static_cast<Index>(table.integers("direction_z")[row])};
}

h5::Table cases_table(const std::vector<GradeRow>& rows) {
    h5::Table out;
    const auto add = [&](const char* name, const char* units, auto pick) {
        out.columns.push_back(column(name, units, rows, pick));
    };
    add("cell", "", [](const GradeRow& r) { return r.grade.cell; });
    add("polymer", "", [](const GradeRow& r) { return r.grade.polymer; });
    for (const CaseField& field : case_fields())
        add(field.name, field.units, [&](const GradeRow& r) { return r.grade.*field.member; });
    add_direction(out, rows, [](const GradeRow& r) { return r.grade.direction; });
    add("load", "", [](const GradeRow& r) { return load_name(r.grade.load); });
    add("density_kg_per_m3", "kg/m^3", [](const GradeRow& r) { return r.density_kg_per_m3; });
    add("polymer_modulus_Pa", "Pa", [](const GradeRow& r) { return r.polymer_modulus_Pa; });
    add("status", "", [](const GradeRow& r) { return r.status; });
    add("reason", "", [](const GradeRow& r) { return r.reason; });
    add("warning", "", [](const GradeRow& r) { return r.warning; });
    add("outside_card", "", [](const GradeRow& r) { return r.outside_card; });
    for (const TraitField& field : trait_fields())
        add(field.name.c_str(), field.units.c_str(),
            [&](const GradeRow& r) { return r.traits.*field.member; });
    for (const ShearField& field : shear_fields())
        add(field.name, field.units, [&](const GradeRow& r) { return r.shear.*field.member; });
    add("key", "", [](const GradeRow& r) { return r.grade.key; });
    return out;
}

/// One doubt about one trait of one case, as a row of the file.
struct DoubtRow {
    std::size_t row, trait;
    const TraitUncertainty* doubt;
};

h5::Table uncertainty_table(const std::vector<GradeRow>& rows) {
    std::vector<DoubtRow> lines;
    for (std::size_t r = 0; r < rows.size(); ++r) {
        const std::vector<TraitUncertainty>& list = rows[r].uncertainty;
        CELLGRADE_CHECK(list.empty() || list.size() == trait_fields().size(),
                        "grade table row {} ({}): {} uncertainties for {} traits", r + 1,
                        grade_label(rows[r].grade), list.size(), trait_fields().size());
        for (std::size_t t = 0; t < list.size(); ++t)
            lines.push_back({r, t, &list[t]});
    }
    h5::Table out;
    const auto add = [&](const char* name, const char* units, auto pick) {
        out.columns.push_back(column(name, units, lines, pick));
    };
    const auto field = [](const DoubtRow& d) -> const TraitField& {
        return trait_fields()[d.trait];
    };
    const char* own = "as column units";
    add("case", "1", [](const DoubtRow& d) { return static_cast<std::int64_t>(d.row + 1); });
    add("trait", "", [&](const DoubtRow& d) { return field(d).name; });
    add("units", "", [&](const DoubtRow& d) { return field(d).units; });
    add("value", own, [&](const DoubtRow& d) { return rows[d.row].traits.*field(d).member; });
    add("combined", own, [](const DoubtRow& d) { return d.doubt->combined(); });
    for (std::size_t p = 0; p < doubt_part_names.size(); ++p)
        add(doubt_part_names[p], own, [p](const DoubtRow& d) { return d.doubt->parts[p]; });
    add("extrapolated", own, [](const DoubtRow& d) { return d.doubt->extrapolated; });
    add("mesh_order", "1", [](const DoubtRow& d) { return d.doubt->mesh_order; });
    add("settled_cells", "1", [](const DoubtRow& d) { return d.doubt->settled_cells; });
    add("missing", "", [](const DoubtRow& d) { return d.doubt->missing(); });
    return out;
}

h5::Table stiffness_table(const std::vector<GradeStiffness>& rows) {
    h5::Table out;
    const auto add = [&](const char* name, const char* units, auto pick) {
        out.columns.push_back(column(name, units, rows, pick));
    };
    add("cell", "", [](const GradeStiffness& s) { return s.cell; });
    add("relative_density", "1", [](const GradeStiffness& s) { return s.relative_density; });
    add_direction(out, rows, [](const GradeStiffness& s) { return s.direction; });
    add("polymer_modulus_Pa", "Pa", [](const GradeStiffness& s) { return s.polymer_modulus_Pa; });
    add("polymer_poisson", "1", [](const GradeStiffness& s) { return s.polymer_poisson; });
    return out;
}

struct ScalingNumber {
    const char* name;
    const char* units;
    double ScalingRow::*member;
};

constexpr std::array<ScalingNumber, 13> scaling_numbers{{
    {"strain_rate_per_s", "1/s", &ScalingRow::strain_rate_per_s},
    {"temperature_C", "degC", &ScalingRow::temperature_C},
    {"density_from", "1", &ScalingRow::density_from},
    {"density_to", "1", &ScalingRow::density_to},
    {"coefficient", "1", &ScalingRow::coefficient},
    {"coefficient_low", "1", &ScalingRow::coefficient_low},
    {"coefficient_high", "1", &ScalingRow::coefficient_high},
    {"exponent", "1", &ScalingRow::exponent},
    {"exponent_low", "1", &ScalingRow::exponent_low},
    {"exponent_high", "1", &ScalingRow::exponent_high},
    {"worst_share", "1", &ScalingRow::worst_share},
    {"theory_coefficient", "1", &ScalingRow::theory_coefficient},
    {"theory_exponent", "1", &ScalingRow::theory_exponent},
}};

h5::Table scaling_table(const std::vector<ScalingRow>& rows) {
    h5::Table out;
    const auto add = [&](const char* name, const char* units, auto pick) {
        out.columns.push_back(column(name, units, rows, pick));
    };
    add("cell", "", [](const ScalingRow& s) { return s.cell; });
    add_direction(out, rows, [](const ScalingRow& s) { return s.direction; });
    add("trait", "", [](const ScalingRow& s) { return s.trait; });
    add("grades", "1", [](const ScalingRow& s) { return static_cast<std::int64_t>(s.grades); });
    for (const ScalingNumber& number : scaling_numbers)
        add(number.name, number.units, [&](const ScalingRow& s) { return s.*number.member; });
    add("theory", "", [](const ScalingRow& s) { return s.theory; });
    return out;
}

GradeRow row_from(const GradeTableContent& content, std::size_t i) {
    const h5::Table& cases = content.cases;
    GradeRow row;
    row.grade.key = cases.texts("key")[i];
    row.grade.cell = cases.texts("cell")[i];
    row.grade.polymer = cases.texts("polymer")[i];
    for (const CaseField& field : case_fields())
        row.grade.*field.member = cases.numbers(field.name)[i];
    row.grade.direction = direction_from(cases, i);
    row.grade.load = load_from_name(cases.texts("load")[i]);
    row.status = cases.texts("status")[i];
    row.reason = cases.texts("reason")[i];
    row.warning = cases.texts("warning")[i];
    row.outside_card = cases.texts("outside_card")[i];
    for (const TraitField& field : trait_fields())
        row.traits.*field.member = cases.numbers(field.name)[i];
    for (const ShearField& field : shear_fields())
        row.shear.*field.member = cases.numbers(field.name)[i];
    row.density_kg_per_m3 = cases.numbers("density_kg_per_m3")[i];
    row.polymer_modulus_Pa = cases.numbers("polymer_modulus_Pa")[i];
    row.curve = content.curves[i];
    row.guards = content.guards[i];
    return row;
}

void read_uncertainty(const h5::Table& from, std::vector<GradeRow>& rows, const std::string& file) {
    const auto fields = trait_fields();
    for (std::size_t i = 0; i < from.rows(); ++i) {
        const std::int64_t number = from.integers("case")[i];
        if (number < 1 || static_cast<std::size_t>(number) > rows.size())
            throw Error(
                Fault::Input,
                fmt::format("row {} is of case {}, the table has {}", i + 1, number, rows.size()),
                {.file = file, .key = "/uncertainty"});
        const auto field = std::find_if(fields.begin(), fields.end(), [&](const TraitField& each) {
            return each.name == from.texts("trait")[i];
        });
        if (field == fields.end())
            continue; // of a newer minor version
        std::vector<TraitUncertainty>& list =
            rows[static_cast<std::size_t>(number - 1)].uncertainty;
        list.resize(fields.size());
        TraitUncertainty& doubt = list[static_cast<std::size_t>(field - fields.begin())];
        for (std::size_t p = 0; p < doubt_part_names.size(); ++p)
            doubt.parts[p] = from.numbers(doubt_part_names[p])[i];
        doubt.extrapolated = from.numbers("extrapolated")[i];
        doubt.mesh_order = from.numbers("mesh_order")[i];
        doubt.settled_cells = from.numbers("settled_cells")[i];
    }
}

std::vector<GradeStiffness> stiffness_from(const GradeTableContent& content) {
    const h5::Table& from = content.stiffness;
    std::vector<GradeStiffness> rows(from.rows());
    for (std::size_t i = 0; i < rows.size(); ++i) {
        rows[i].cell = from.texts("cell")[i];
        rows[i].relative_density = from.numbers("relative_density")[i];
        rows[i].direction = direction_from(from, i);
        rows[i].polymer_modulus_Pa = from.numbers("polymer_modulus_Pa")[i];
        rows[i].polymer_poisson = from.numbers("polymer_poisson")[i];
        for (int k = 0; k < 36; ++k)
            rows[i].tensor_Pa(k / 6, k % 6) = content.tensors_Pa.at(36 * i + k);
    }
    return rows;
}

std::vector<ScalingRow> scaling_from(const h5::Table& from) {
    std::vector<ScalingRow> rows(from.rows());
    for (std::size_t i = 0; i < rows.size(); ++i) {
        rows[i].cell = from.texts("cell")[i];
        rows[i].direction = direction_from(from, i);
        rows[i].trait = from.texts("trait")[i];
        rows[i].grades = static_cast<Index>(from.integers("grades")[i]);
        for (const ScalingNumber& number : scaling_numbers)
            rows[i].*number.member = from.numbers(number.name)[i];
        rows[i].theory = from.texts("theory")[i];
    }
    return rows;
}

template <class T>
void add_constant(h5::Table& table, const char* name, const char* units, const T& value) {
    table.columns.push_back({name, units, std::vector<T>(table.rows(), value)});
}

/// 1.1 added the column `warning`.
void from_1_0_to_1_1(GradeTableContent& content) {
    add_constant<std::string>(content.cases, "warning", "", "");
}

/// 2.0 added direction, temperature, load, the polymer's modulus, shear, uncertainty, stiffness and
/// scaling. Before it all cells were crushed along their third axis, straight down, at the
/// temperature of their card.
void from_1_1_to_2_0(GradeTableContent& content) {
    constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
    h5::Table& cases = content.cases;
    add_constant(cases, "temperature_C", "degC", unknown);
    add_constant(cases, "precompression", "1", 0.0);
    add_constant(cases, "path_angle_deg", "degree", 0.0);
    add_constant<std::string>(cases, "direction", "", "[001]");
    add_constant<std::int64_t>(cases, "direction_x", "1", 0);
    add_constant<std::int64_t>(cases, "direction_y", "1", 0);
    add_constant<std::int64_t>(cases, "direction_z", "1", 1);
    add_constant<std::string>(cases, "load", "", "compression");
    add_constant(cases, "polymer_modulus_Pa", "Pa", unknown);
    for (const ShearField& field : shear_fields())
        add_constant(cases, field.name, field.units, unknown);
    const GradeTableContent empty = content_of({});
    content.uncertainty = empty.uncertainty;
    content.stiffness = empty.stiffness;
    content.scaling = empty.scaling;
}

/// 2.1 added the column `outside_card`.
void from_2_0_to_2_1(GradeTableContent& content) {
    add_constant<std::string>(content.cases, "outside_card", "",
                              "not recorded: the table is older than schema 2.1");
}

} // namespace

GradeTableContent content_of(const GradeTable& table) {
    GradeTableContent content{.study_name = table.study_name,
                              .cases = cases_table(table.rows),
                              .uncertainty = uncertainty_table(table.rows),
                              .stiffness = stiffness_table(table.stiffness),
                              .scaling = scaling_table(table.scaling)};
    for (const GradeStiffness& grade : table.stiffness)
        for (int k = 0; k < 36; ++k)
            content.tensors_Pa.push_back(grade.tensor_Pa(k / 6, k % 6));
    return content;
}

GradeTable table_from(const GradeTableContent& content, const std::string& file) {
    const std::size_t n = content.cases.rows();
    if (content.curves.size() != n || content.guards.size() != n ||
        content.tensors_Pa.size() != 36 * content.stiffness.rows())
        throw Error(Fault::Input, "parts of the table are of different lengths",
                    {.file = file, .key = {}});
    GradeTable table{.study_name = content.study_name};
    for (std::size_t i = 0; i < n; ++i)
        table.rows.push_back(row_from(content, i));
    read_uncertainty(content.uncertainty, table.rows, file);
    table.stiffness = stiffness_from(content);
    table.scaling = scaling_from(content.scaling);
    return table;
}

void migrate(GradeTableContent& content, std::pair<int, int> version) {
    if (version < std::pair{1, 1})
        from_1_0_to_1_1(content);
    if (version < std::pair{2, 0})
        from_1_1_to_2_0(content);
    if (version < std::pair{2, 1})
        from_2_0_to_2_1(content);
}

} // namespace cellgrade
