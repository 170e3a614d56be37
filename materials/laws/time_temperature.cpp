// SPDX-License-Identifier: Apache-2.0
#include "materials/laws/time_temperature.hpp"

#include "solver/core/error.hpp"
#include "solver/core/units.hpp"

#include <cmath>
#include <numbers>

namespace cellgrade {

namespace {

constexpr double gas_constant = 8.31446261815324; // J/(mol K), SI 2019, exact

void check_positive(double value, const char* key) {
    CELLGRADE_CHECK(value > 0.0 && std::isfinite(value),
                    "temperature.{} = {:.9g} is not allowed; a number above 0 is needed", key,
                    value);
}

} // namespace

void TimeTemperature::check() const {
    CELLGRADE_CHECK(reference_K > 0.0 && std::isfinite(reference_K),
                    "temperature.reference_C = {:.9g} is not allowed; a temperature above {} C is "
                    "needed",
                    reference_K - units::zero_C, -units::zero_C);
    if (kind == Kind::Wlf) {
        check_positive(c1, "c1");
        check_positive(c2_K, "c2_K");
    } else {
        check_positive(activation_energy_J_per_mol, "activation_energy_kJ_per_mol");
    }
}

double TimeTemperature::log10_shift(double temperature_K) const {
    CELLGRADE_CHECK(temperature_K > 0.0 && std::isfinite(temperature_K),
                    "a temperature of {:.6g} C does not exist", temperature_K - units::zero_C);
    if (kind == Kind::Arrhenius)
        return activation_energy_J_per_mol / (gas_constant * std::numbers::ln10) *
               (1.0 / temperature_K - 1.0 / reference_K);
    const double above = temperature_K - reference_K;
    CELLGRADE_CHECK(
        above > -c2_K,
        "the polymer card's WLF shift ends at {:.6g} C, its reference less c2_K; {:.6g} "
        "C is below",
        reference_K - c2_K - units::zero_C, temperature_K - units::zero_C);
    return -c1 * above / (c2_K + above);
}

} // namespace cellgrade
