// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/damage_values.hpp"

#include "solver/core/units.hpp"

namespace cellgrade {

std::vector<FitVariable> damage_variables(double shear_Pa) {
    using enum FitVariable::Scale;
    return {
        {.scale = Log, .low = 1.001, .high = 100.0, .start_low = 1.2, .start_high = 3.0},
        {.scale = Log,
         .low = 1e-5 * shear_Pa,
         .high = 1e2 * shear_Pa,
         .start_low = 0.01 * shear_Pa,
         .start_high = 0.3 * shear_Pa},
        {.scale = Log, .low = 1e-4, .high = 1e2, .start_low = 0.03, .start_high = 0.5},
    };
}

MullinsDamage damage_of(const Eigen::Vector3d& natural) {
    return {.r = std::exp(natural[0]), .m = std::exp(natural[1]), .beta = std::exp(natural[2])};
}

std::vector<FittedValue>
damage_values(const MullinsDamage& damage, const FitIntervals& intervals, std::size_t first) {
    const std::array<double, 3> value = {damage.r, damage.m, damage.beta};
    std::vector<FittedValue> values;
    for (std::size_t k = 0; k < 3; ++k)
        values.push_back({.key = std::string(damage_keys[k]),
                          .to_SI = k == 1 ? units::kJ_per_m3 : 1.0,
                          .value = value[k],
                          .low = intervals.low[first + k],
                          .high = intervals.high[first + k],
                          .fitted = true,
                          .determined = intervals.determined[first + k]});
    return values;
}

} // namespace cellgrade
