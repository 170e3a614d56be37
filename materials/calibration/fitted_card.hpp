// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/calibration/calibration.hpp"

namespace cellgrade {

/// The card of a calibration: chosen law, Prony terms, validity, and a source line for each value
/// with its interval.
///
/// Validity: stretches that a test reached, as uniaxial ones (equibiaxial l counts as compression
/// to l^-2, shear g both ways), cut to the stable range; without a test on one side 0.99 or 1.01.
/// Rates at which a strain of 0.1 takes the shortest and the longest time of the relaxation data;
/// without them the tested rates and three times further (common practice, no source).
/// A fit that is not to be trusted is marked in the card's `source`.
[[nodiscard]] PolymerCard fitted_card(const Calibration& calibration,
                                      const CalibrationStudy& study);

} // namespace cellgrade
