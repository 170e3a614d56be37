// SPDX-License-Identifier: Apache-2.0
#include "solver/results/trait_table.hpp"

#include "solver/core/error.hpp"
#include "solver/grades/trait_fields.hpp"

namespace cellgrade {

std::vector<h5::Column> trait_columns(std::span<const CrushTraits> traits) {
    std::vector<h5::Column> columns;
    for (const TraitField& field : trait_fields()) {
        std::vector<double> values;
        for (const CrushTraits& one : traits)
            values.push_back(one.*field.member);
        columns.push_back({field.name, field.units, std::move(values)});
    }
    return columns;
}

std::vector<CrushTraits> traits_from(const h5::Table& table) {
    std::vector<CrushTraits> traits(table.rows());
    for (const TraitField& field : trait_fields()) {
        const std::vector<double>& values = table.numbers(field.name);
        for (std::size_t i = 0; i < traits.size(); ++i)
            traits[i].*field.member = values[i];
    }
    return traits;
}

std::vector<std::string> trait_meanings() {
    std::vector<std::string> meanings;
    for (const TraitField& field : trait_fields())
        meanings.push_back(definition_text(field));
    return meanings;
}

void write_curve_columns(h5::Writer& file, const std::string& group, const CrushCurve& curve) {
    const std::string strain = group + "/nominal_strain", stress = group + "/nominal_stress_Pa";
    file.column(strain, curve.nominal_strain, "1");
    file.column(stress, curve.nominal_stress_Pa, "Pa");
    file.attach_scale(stress, 0, strain, "nominal_strain");
    if (!curve.shear_strain.empty()) {
        const std::string shear = group + "/shear_strain", force = group + "/shear_stress_Pa";
        file.column(shear, curve.shear_strain, "1");
        file.column(force, curve.shear_stress_Pa, "Pa");
        file.attach_scale(force, 0, shear, "shear_strain");
    }
    file.integer(group, "turn", curve.turn);
}

CrushCurve read_curve_columns(const h5::Reader& file, const std::string& group) {
    CrushCurve curve{.nominal_strain = file.doubles(group + "/nominal_strain"),
                     .nominal_stress_Pa = file.doubles(group + "/nominal_stress_Pa"),
                     .turn = static_cast<Index>(file.number(group, "turn"))};
    if (file.has(group + "/shear_strain")) {
        curve.shear_strain = file.doubles(group + "/shear_strain");
        curve.shear_stress_Pa = file.doubles(group + "/shear_stress_Pa");
    }
    if (curve.nominal_strain.size() != curve.nominal_stress_Pa.size() ||
        curve.shear_strain.size() != curve.shear_stress_Pa.size() || curve.turn < 0 ||
        curve.turn > static_cast<Index>(curve.nominal_strain.size()))
        throw Error(Fault::Input, "columns of different lengths, or the turn lies outside",
                    {.file = file.file_name(), .key = group});
    return curve;
}

} // namespace cellgrade
