// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <limits>
#include <string>
#include <vector>

namespace cellgrade {

/// How far a grade takes a blow before its stress passes a limit.
struct AbsorbedEnergy {
    double strain = 0.0;          ///< at which the limit is met, or the end of the curve
    double energy_J_per_m3 = 0.0; ///< up to there
    bool curve_ends = false;      ///< before the limit is met: more may be absorbed than is known
};

/// The curve of one grade between those of a table; made by GradeCurves. Straight lines between its
/// points, and energies the exact integrals of those lines.
struct GradeCurve {
    static constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
    double relative_density = unknown;
    double strain_rate_per_s = unknown;
    double temperature_C = unknown;
    double solid_density_kg_per_m3 = unknown; ///< of the polymer, for energies per mass
    std::vector<double> nominal_strain;       ///< loading, rising from 0
    std::vector<double> nominal_stress_Pa;
    std::vector<double> energy_J_per_m3;       ///< integral of the stress up to each point
    std::vector<double> unloading_strain;      ///< falling; empty: not every neighbour unloads
    std::vector<double> unloading_stress_Pa;   ///< on the way back
    double stress_uncertainty_share = unknown; ///< of the plateau stress, one standard uncertainty
    double energy_uncertainty_share = unknown; ///< of the energy to densification
    std::string extrapolated;                  ///< "relative density, strain rate"; empty: inside

    [[nodiscard]] double last_strain() const { return nominal_strain.back(); }
    /// Nominal stress on loading [Pa]. @throws Error (Input) before 0 or past the last strain:
    /// strain is never extrapolated
    [[nodiscard]] double stress_at(double strain) const;
    /// Nominal stress on the way back [Pa]; 0 where the specimen has lost contact.
    /// @throws Error (Input) past the strain of the turn, or where nothing unloads
    [[nodiscard]] double unloading_stress_at(double strain) const;
    /// Energy per volume of the loading up to a strain [J/m^3]. @throws as stress_at()
    [[nodiscard]] double energy_to(double strain) const;
    /// Mean stress over 20 to 40 % strain [Pa], as the trait; NaN where the curve ends before.
    [[nodiscard]] double plateau_stress_Pa() const;
    /// The energy up to the first strain at which the stress passes `stress_limit_Pa`.
    [[nodiscard]] AbsorbedEnergy absorbed_below(double stress_limit_Pa) const;
};

} // namespace cellgrade
