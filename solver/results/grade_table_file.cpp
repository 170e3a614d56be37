// SPDX-License-Identifier: Apache-2.0
#include "solver/results/grade_table_file.hpp"

#include "solver/core/error.hpp"
#include "solver/grades/case_fields.hpp"
#include "solver/grades/grade_grid.hpp"
#include "solver/grades/trait_fields.hpp"
#include "solver/homogenize/shear_traits.hpp"
#include "solver/results/grade_table_content.hpp"
#include "solver/results/hdf5.hpp"
#include "solver/results/provenance_file.hpp"
#include "solver/results/trait_table.hpp"

#include <array>

namespace cellgrade {

namespace {

const std::string schema = "cellgrade/grade-table";
constexpr int schema_major = 2, schema_minor = 1, oldest_major = 1;

std::string curve_group(std::size_t row) {
    return fmt::format("/curves/{:04d}", row + 1);
}

void write_root(h5::Writer& file, const GradeTable& table) {
    file.text("/", "schema", schema);
    file.integers("/", "schema_version", {schema_major, schema_minor});
    file.text("/", "study_name", table.study_name);
    file.text("/", "caution", caution_text());
    file.text("/", "sign", "compression positive");
    file.text("/", "axis_order",
              "as written here: the last axis runs fastest. Readers that count the first axis "
              "fastest (MATLAB h5read, Octave, Fortran) get the axes in reversed order");
    for (const char* status : {"trusted", "untrusted", "failed"})
        file.integer("/", fmt::format("{}_cases", status), count_status(table, status));
}

void write_curve_group(h5::Writer& file, const GradeRow& row, const std::string& group) {
    const GradeCase& grade = row.grade;
    file.group(group);
    write_curve_columns(file, group, row.curve);
    file.text(group, "cell", grade.cell);
    file.text(group, "polymer", grade.polymer);
    for (const CaseField& field : case_fields())
        file.number(group, field.name, grade.*field.member);
    file.text(group, "direction", direction_text(grade.direction));
    file.text(group, "load", load_name(grade.load));
    file.text(group, "status", row.status);
    file.text(group, "key", grade.key);
    file.table(group + "/guards", guard_table(row.guards));
}

void write_uncertainty(h5::Writer& file, const h5::Table& table) {
    file.table("/uncertainty", table);
    file.text(
        "/uncertainty", "meaning",
        "standard uncertainty of one trait of one case, in the unit of its row; `combined` is "
        "the root of the sum of squares of the parts that were estimated, `missing` names "
        "the others (NaN). `case` is the row of /traits, from 1");
    file.text("/uncertainty", "extrapolated",
              "the trait at elements of no size (Richardson); `mesh_order`: observed order of "
              "convergence; `settled_cells`: cells across from which the trait moves less than its "
              "uncertainty");
}

/// Numbers of the rows of an axis, from 1, as its scale.
void write_row_scale(h5::Writer& file, const std::string& path, std::size_t rows) {
    std::vector<double> numbers(rows);
    for (std::size_t i = 0; i < rows; ++i)
        numbers[i] = static_cast<double>(i + 1);
    file.column(path, numbers, "1");
}

void write_stiffness(h5::Writer& file, const GradeTableContent& content) {
    const std::string group = "/stiffness", tensor = "/stiffness/tensor_Pa";
    const std::size_t rows = content.stiffness.rows();
    file.group(group);
    file.text(group, "voigt_order", "xx yy zz yz xz xy, engineering shear strain");
    file.text(group, "axes",
              "small strains of the endless lattice; the third axis is the crushed direction. The "
              "tensor belongs to the polymer's modulus in its row of `cases` and goes with it");
    file.table("/stiffness/cases", content.stiffness);
    file.dataset(tensor, std::span<const double>(content.tensors_Pa), {.dims = {rows, 6, 6}});
    file.text(tensor, "units", "Pa");
    // Every axis gets a scale: netCDF readers refuse a file in which one axis has none.
    const std::array<const char*, 3> axes{"case", "stress_component", "strain_component"};
    for (unsigned axis = 0; axis < axes.size(); ++axis) {
        const std::string scale = fmt::format("{}/{}", group, axes[axis]);
        write_row_scale(file, scale, axis == 0 ? rows : 6);
        file.attach_scale(tensor, axis, scale, axes[axis]);
    }
}

void write_grid(h5::Writer& file, const GradeTable& table) {
    const GradeGrid grid = grade_grid(table);
    file.group("/grid");
    if (!grid.absent_because.empty()) {
        file.text("/grid", "absent_because", grid.absent_because);
        return;
    }
    const GradeCase& first = table.rows.front().grade;
    file.text("/grid", "cell", first.cell);
    file.text("/grid", "polymer", first.polymer);
    file.text("/grid", "load", load_name(first.load));
    file.number("/grid", "path_angle_deg", first.path_angle_deg);
    file.text("/grid", "meaning",
              "loading branches on common strains; NaN past the end of a curve and where the case "
              "is not trusted. `direction` counts the names in its attribute `directions`, from 1");
    struct Axis {
        const char* name;
        const char* units;
        std::size_t length;
    };
    const std::array<Axis, 5> axes{{{"relative_density", "1", grid.relative_density.size()},
                                    {"direction", "1", grid.direction.size()},
                                    {"strain_rate_per_s", "1/s", grid.strain_rate_per_s.size()},
                                    {"temperature_C", "degC", grid.temperature_C.size()},
                                    {"nominal_strain", "1", grid.nominal_strain.size()}}};
    file.column("/grid/relative_density", grid.relative_density, axes[0].units);
    write_row_scale(file, "/grid/direction", grid.direction.size());
    std::vector<std::string> directions;
    for (const auto& direction : grid.direction)
        directions.push_back(direction_text(direction));
    file.texts("/grid/direction", "directions", directions);
    file.column("/grid/strain_rate_per_s", grid.strain_rate_per_s, axes[2].units);
    file.column("/grid/temperature_C", grid.temperature_C, axes[3].units);
    file.column("/grid/nominal_strain", grid.nominal_strain, axes[4].units);
    const std::string stress = "/grid/nominal_stress_Pa";
    h5::Shape shape;
    for (const Axis& axis : axes)
        shape.dims.push_back(axis.length);
    file.dataset(stress, std::span<const double>(grid.nominal_stress_Pa), shape);
    file.text(stress, "units", "Pa");
    for (unsigned i = 0; i < axes.size(); ++i)
        file.attach_scale(stress, i, fmt::format("/grid/{}", axes[i].name), axes[i].name);
}

void write_definitions(h5::Writer& file) {
    const std::string group = "/definitions";
    file.group(group);
    for (const CaseField& field : case_fields())
        file.text(group, field.name, fmt::format("{} [{}]", field.meaning, field.units));
    for (const TraitField& field : trait_fields())
        file.text(group, field.name, definition_text(field));
    for (const ShearField& field : shear_fields())
        file.text(group, field.name, fmt::format("{} [{}]", field.meaning, field.units));
    file.text(group, "direction",
              "of the cell that is crushed, in whole steps of the cell's edges");
    file.text(group, "load",
              "compression: the platen moves straight down; shear: down to `precompression`, then "
              "sideways at that height; oblique: along a straight path at `path_angle_deg`");
    file.text(group, "density_kg_per_m3",
              "of the grade: relative density x density of the solid polymer [kg/m^3]");
    file.text(group, "polymer_modulus_Pa",
              "Young's modulus of the polymer at the rate and temperature of the case: secant at "
              "1 % strain of a ramp at the nominal rate [Pa]");
    file.text(group, "status",
              "trusted: the run reached its end and met every enforced limit. Numbers of other "
              "rows are kept but must not be used as results; `reason` says why");
    file.text(group, "warning", "how far beams are from tetrahedra; empty for solids");
    file.text(
        group, "outside_card",
        "where the run left the strain rates, temperatures or stretches that its polymer card "
        "was measured for: the curve leans on the law there, not on tests");
}

GradeTableContent read_content(const h5::Reader& file, std::pair<int, int> version) {
    GradeTableContent content{.study_name = file.text("/", "study_name"),
                              .cases = file.table("/traits")};
    if (version >= std::pair{2, 0}) {
        content.uncertainty = file.table("/uncertainty");
        content.stiffness = file.table("/stiffness/cases");
        content.tensors_Pa = file.doubles("/stiffness/tensor_Pa");
        content.scaling = file.table("/scaling");
    }
    for (std::size_t i = 0; i < content.cases.rows(); ++i) {
        content.curves.push_back(read_curve_columns(file, curve_group(i)));
        content.guards.push_back(guards_from(file.table(curve_group(i) + "/guards")));
    }
    migrate(content, version);
    return content;
}

} // namespace

void write_grade_table(const std::filesystem::path& path,
                       const GradeTable& table,
                       const Provenance& provenance) {
    check_grade_table(table);
    const GradeTableContent content = content_of(table);
    h5::Writer file;
    write_root(file, table);
    file.table("/traits", content.cases);
    file.group("/curves");
    for (std::size_t row = 0; row < table.rows.size(); ++row)
        write_curve_group(file, table.rows[row], curve_group(row));
    write_uncertainty(file, content.uncertainty);
    write_stiffness(file, content);
    file.table("/scaling", content.scaling);
    file.text("/scaling", "meaning",
              "trait / scale = coefficient (relative density)^exponent, the scale being the "
              "polymer's modulus for stresses and 1 for strains; densification strain = 1 - "
              "coefficient (relative density)^exponent; low and high hold 95 %");
    write_grid(file, table);
    write_definitions(file);
    Provenance kept = provenance;
    kept.run.reset();
    write_provenance(file, kept);
    file.publish(path);
}

GradeTable read_grade_table(const std::filesystem::path& path) {
    const h5::Reader file(path);
    const std::pair version = file.check_schema(schema, schema_major, oldest_major);
    const GradeTable table = table_from(read_content(file, version), file.file_name());
    check_grade_table(table);
    return table;
}

Provenance read_grade_table_provenance(const std::filesystem::path& path) {
    const h5::Reader file(path);
    (void)file.check_schema(schema, schema_major, oldest_major);
    return read_provenance(file);
}

} // namespace cellgrade
