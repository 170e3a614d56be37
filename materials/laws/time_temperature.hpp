// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace cellgrade {

/// How relaxation times move with temperature: time_i(T) = a_T time_i, all terms alike.
///
///   WLF          log10 a_T = -c1 (T - T0) / (c2 + T - T0)       T > T0 - c2
///   Arrhenius    log10 a_T = E_a / (R ln 10) (1/T - 1/T0)
///
/// Moduli are not shifted: the rise of rubber elasticity with T and what changes at melting or
/// glass transition are outside. Sources: Williams, Landel & Ferry (1955), J. Am. Chem. Soc. 77,
/// 3701; Ferry (1980), Viscoelastic Properties of Polymers, ch. 11.
struct TimeTemperature {
    enum class Kind { Wlf, Arrhenius };

    Kind kind = Kind::Wlf;
    double reference_K = 0.0;                 ///< T0, at which the terms are given [K]
    double c1 = 0.0;                          ///< WLF [-]
    double c2_K = 0.0;                        ///< WLF [K]
    double activation_energy_J_per_mol = 0.0; ///< Arrhenius

    /// log10 a_T. Throws an input Error for a temperature that the law does not reach.
    [[nodiscard]] double log10_shift(double temperature_K) const;
    /// Throws an input Error naming the value and what would be right.
    void check() const;

    bool operator==(const TimeTemperature&) const = default;
};

} // namespace cellgrade
