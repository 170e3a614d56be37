// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/calibration/coupon.hpp"

#include <optional>
#include <span>
#include <string>
#include <vector>

namespace cellgrade {

/// Horizontal shift of one isotherm: E(t, T) = E(t / a_T, T_ref).
struct IsothermShift {
    double temperature_C;
    double log10_shift;     ///< log10 a_T, 0 at the reference
    double overlap_decades; ///< of log time that this isotherm shares with its neighbour; 0: none
};

/// log10 a_T = -c1 (T - T_ref) / (c2 + T - T_ref).
/// Source: Williams, Landel & Ferry (1955), J. Am. Chem. Soc. 77, 3701.
struct WlfFit {
    double c1, c2_K;
    double rms_decades;
};

/// ln a_T = activation / R (1/T - 1/T_ref), T in kelvin, R = 8.314462618 J/(mol K) (exact by the
/// definitions of 2019).
struct ArrheniusFit {
    double activation_J_per_mol;
    double rms_decades;
};

/// Isotherms brought to one temperature.
struct MasterCurve {
    double reference_C;                ///< temperature of the isotherm nearest to the one asked for
    std::vector<IsothermShift> shifts; ///< rising temperature
    TimeCurve curve;                   ///< reduced time t / a_T, sorted
    std::optional<WlfFit> wlf;         ///< from four temperatures on
    std::optional<ArrheniusFit> arrhenius; ///< from three temperatures on
    std::vector<std::string> notes;
};

/// Shifts isotherms along log time until neighbours lie on each other.
///
///   log10 a_b - log10 a_a = mean over E of [log10 t_b(E) - log10 t_a(E)],
///
/// E over the log moduli that both reach; curves are first made falling by pooling neighbours that
/// rise (isotonic regression), so scatter cannot turn the inverse round. Isotherms that share no
/// modulus are extended along the line of their last readings, and noted. No vertical shift.
/// Source: Gergesova, Zupancic, Saprunov & Emri (2011), J. Rheol. 55, 1 (closed-form shifting; from
/// memory); pooling: Barlow et al. (1972), Statistical Inference under Order Restrictions.
/// Valid for one mechanism (thermorheologically simple), readings at three times or more each.
/// @throws Error (input) for fewer than two isotherms, one without temperature, or kinds mixed
[[nodiscard]] MasterCurve master_curve(std::span<const TimeCurve> isotherms, double reference_C);

} // namespace cellgrade
