// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/choice/grade_response.hpp"
#include "solver/grades/trait_fields.hpp"
#include "solver/homogenize/crush_traits.hpp"

#include <functional>
#include <string>
#include <vector>

namespace cellgrade::test {

/// An invented grade of one density whose stress is known in closed form.
struct SampleGrade {
    std::vector<double> rates_per_s{1.0};
    double last_strain = 0.7;
    std::function<double(double, double)> stress_Pa; ///< over strain and rate
    /// Share of the loading stress on the way back; below 0: the table does not unload.
    double return_share = 1.0;
    double plateau_doubt_share = -1.0; ///< below 0: not estimated
};

inline constexpr double sample_density = 0.1;

/// Rows every 0.002 of strain, one at 1e-6 for stresses that begin at once, and the way back from
/// 1e-6 below the turn.
inline GradeTable sample_table(const SampleGrade& sample) {
    GradeTable table{.study_name = "invented grade"};
    for (const double rate : sample.rates_per_s) {
        GradeRow row;
        row.grade = {.key = std::to_string(rate), .cell = "octet", .polymer = "made-up"};
        row.grade.relative_density = sample_density;
        row.grade.strain_rate_per_s = rate;
        row.status = "trusted";
        std::vector<double> strains{0.0, 1e-6};
        for (int i = 1; i <= 350; ++i)
            strains.push_back(sample.last_strain * i / 350.0);
        for (const double e : strains) {
            row.curve.nominal_strain.push_back(e);
            row.curve.nominal_stress_Pa.push_back(e > 0.0 ? sample.stress_Pa(e, rate) : 0.0);
        }
        row.curve.turn = static_cast<Index>(strains.size());
        row.traits = crush_traits(row.curve, {sample_density, 1000.0});
        if (sample.return_share >= 0.0) {
            strains.back() -= 1e-6;
            for (std::size_t i = strains.size(); i-- > 1;) {
                row.curve.nominal_strain.push_back(strains[i]);
                row.curve.nominal_stress_Pa.push_back(sample.return_share *
                                                      sample.stress_Pa(strains[i], rate));
            }
        }
        if (sample.plateau_doubt_share >= 0.0) {
            row.uncertainty.resize(trait_fields().size());
            for (std::size_t i = 0; i < row.uncertainty.size(); ++i)
                if (const TraitField& field = trait_fields()[i];
                    field.member == &CrushTraits::plateau_stress_Pa ||
                    field.member == &CrushTraits::energy_J_per_m3)
                    row.uncertainty[i].parts[0] =
                        sample.plateau_doubt_share * row.traits.*field.member;
        }
        table.rows.push_back(row);
    }
    return table;
}

inline GradeCurves sample_curves(const SampleGrade& sample) {
    return {sample_table(sample), {.cell = "octet"}};
}

inline GradeResponse sample_response(const SampleGrade& sample) {
    return {sample_curves(sample), sample_density, std::numeric_limits<double>::quiet_NaN()};
}

/// stress = modulus x strain, the same at all rates.
inline SampleGrade linear_grade(double modulus_Pa, double return_share = 1.0) {
    SampleGrade sample;
    sample.stress_Pa = [modulus_Pa](double e, double) { return modulus_Pa * e; };
    sample.return_share = return_share;
    return sample;
}

/// The same stress at all strains, nothing given back.
inline SampleGrade plateau_grade(double stress_Pa) {
    SampleGrade sample;
    sample.stress_Pa = [stress_Pa](double, double) { return stress_Pa; };
    sample.return_share = 0.0;
    return sample;
}

} // namespace cellgrade::test
