// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/shear_traits.hpp"

#include "solver/core/error.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <limits>
#include <vector>

namespace cellgrade {

namespace {

constexpr double not_reached = std::numeric_limits<double>::quiet_NaN();
constexpr double quarter = 0.25;    // shear strain of the one stress that is always told
constexpr double first_part = 0.05; // shear strain up to which the line of the modulus is fitted

/// The rows of shear: from the last one of no shear strain on, as long as shear strain rises.
struct ShearBranch {
    std::vector<double> strain, stress, normal;
};

ShearBranch branch_of(const CrushCurve& curve) {
    ShearBranch branch;
    const std::size_t rows =
        std::min(curve.shear_strain.size(), static_cast<std::size_t>(curve.turn));
    std::size_t first = 0;
    while (first + 1 < rows && curve.shear_strain[first + 1] <= 0.0)
        ++first;
    double largest = -1.0;
    for (std::size_t i = first; i < rows; ++i) {
        if (curve.shear_strain[i] <= largest)
            continue;
        largest = curve.shear_strain[i];
        branch.strain.push_back(curve.shear_strain[i]);
        branch.stress.push_back(curve.shear_stress_Pa[i]);
        branch.normal.push_back(curve.nominal_stress_Pa[i]);
    }
    return branch;
}

double at(const std::vector<double>& x, const std::vector<double>& y, double place) {
    if (x.size() < 2 || place < x.front() || place > x.back())
        return not_reached;
    const auto above = std::upper_bound(x.begin() + 1, x.end() - 1, place);
    const auto i = static_cast<std::size_t>(above - x.begin());
    const double t = (place - x[i - 1]) / (x[i] - x[i - 1]);
    return y[i - 1] + t * (y[i] - y[i - 1]);
}

/// Slope of the line fitted by least squares over the first part. A run starts with a slight
/// ringing, over whose few periods the line runs.
double modulus(const ShearBranch& b) {
    if (b.strain.back() < first_part)
        return not_reached;
    double n = 0.0, x = 0.0, y = 0.0, xx = 0.0, xy = 0.0;
    for (std::size_t i = 0; i < b.strain.size() && b.strain[i] <= first_part; ++i) {
        n += 1.0;
        x += b.strain[i];
        y += b.stress[i];
        xx += b.strain[i] * b.strain[i];
        xy += b.strain[i] * b.stress[i];
    }
    return n >= 3.0 ? (n * xy - x * y) / (n * xx - x * x) : not_reached;
}

} // namespace

ShearTraits shear_traits(const CrushCurve& curve) {
    CELLGRADE_CHECK(curve.shear_strain.size() == curve.shear_stress_Pa.size() &&
                        (curve.shear_strain.empty() ||
                         curve.shear_strain.size() == curve.nominal_strain.size()),
                    "a curve of {} rows has {} shear strains and {} shear stresses",
                    curve.nominal_strain.size(), curve.shear_strain.size(),
                    curve.shear_stress_Pa.size());
    const ShearBranch b = branch_of(curve);
    ShearTraits t;
    if (b.strain.size() < 2)
        return t;
    t.shear_modulus_Pa = modulus(b);
    t.shear_stress_at_quarter_Pa = at(b.strain, b.stress, quarter);
    const auto top = std::max_element(b.stress.begin(), b.stress.end()) - b.stress.begin();
    t.shear_strength_Pa = b.stress[static_cast<std::size_t>(top)];
    t.shear_strain_at_strength = b.strain[static_cast<std::size_t>(top)];
    t.shear_energy_J_per_m3 = 0.0;
    for (std::size_t i = 1; i < b.strain.size(); ++i)
        t.shear_energy_J_per_m3 +=
            0.5 * (b.stress[i] + b.stress[i - 1]) * (b.strain[i] - b.strain[i - 1]);
    t.normal_stress_before_Pa = b.normal.front();
    t.normal_stress_after_Pa = b.normal.back();
    return t;
}

std::span<const ShearField> shear_fields() {
    using T = ShearTraits;
    static constexpr std::array<ShearField, 7> fields{
        {{"shear_modulus_Pa", "Pa",
          "slope of the line fitted by least squares up to 5 % shear strain", &T::shear_modulus_Pa},
         {"shear_stress_at_quarter_Pa", "Pa", "shear stress at a shear strain of 0.25",
          &T::shear_stress_at_quarter_Pa},
         {"shear_strength_Pa", "Pa", "largest shear stress of the run, which may still rise there",
          &T::shear_strength_Pa},
         {"shear_strain_at_strength", "1", "shear strain at the largest shear stress",
          &T::shear_strain_at_strength},
         {"shear_energy_J_per_m3", "J/m^3",
          "integral of shear stress over shear strain, to the end of the run",
          &T::shear_energy_J_per_m3},
         {"normal_stress_before_Pa", "Pa", "nominal normal stress when shear begins",
          &T::normal_stress_before_Pa},
         {"normal_stress_after_Pa", "Pa", "nominal normal stress at the largest shear strain",
          &T::normal_stress_after_Pa}}};
    static_assert(sizeof(ShearTraits) == fields.size() * sizeof(double), "one entry a trait");
    return fields;
}

} // namespace cellgrade
