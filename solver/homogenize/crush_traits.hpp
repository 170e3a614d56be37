// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/crush/crush_record.hpp"
#include "solver/homogenize/crush_curve.hpp"

#include <string>
#include <vector>

namespace cellgrade {

/// How noise is kept from fooling the traits; strains.
struct TraitSmoothing {
    double peak_half_width = 0.005;       ///< first maximum and offset line: moving average
    double efficiency_half_width = 0.010; ///< efficiency and plateau end: local parabola
    double peak_drop = 0.05;       ///< stress must fall by this share after the first maximum
    double efficiency_drop = 0.05; ///< efficiency must fall by this share after a maximum
};

/// Nominal curve of a crush: displacement / height, force on the moving platen / gross area.
/// @throws Error (Input) for columns of unequal length or a height or area that is not above 0
[[nodiscard]] CrushCurve crush_curve(const CrushRecord& record);

/// All traits of a curve; a trait that the curve does not reach is NaN. See trait_definitions().
/// @throws Error (Input) for a curve that is no curve (LoadingBranch)
[[nodiscard]] CrushTraits crush_traits(const CrushCurve& curve,
                                       const SpecimenMass& mass,
                                       const TraitSmoothing& smoothing = {});

/// Area under the loading curve up to `strain` [J/m^3]; NaN when not reached.
[[nodiscard]] double energy_per_volume(const CrushCurve& curve, double strain);

/// Mean stress over a range of strain, weighed by strain and not by row [Pa]; NaN if not reached.
[[nodiscard]] double mean_stress(const CrushCurve& curve, double from, double to);

/// W(e) / (largest stress up to e x e) [-]; NaN when not reached. 1: an ideal absorber.
[[nodiscard]] double ideality_at(const CrushCurve& curve, double strain);

/// W / (relative density x density of the solid) [J/kg].
[[nodiscard]] double specific_energy(double energy_J_per_m3, const SpecimenMass& mass);

/// What a trait means, for writers, reports and documentation.
struct TraitDefinition {
    std::string name; ///< the member of CrushTraits
    std::string unit; ///< "1" when dimensionless
    std::string text;
    std::string source;
};

/// One entry for each member of CrushTraits, in its order.
[[nodiscard]] const std::vector<TraitDefinition>& trait_definitions();

} // namespace cellgrade
