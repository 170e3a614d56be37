// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/calibration/calibration_study.hpp"
#include "materials/calibration/hardness.hpp"
#include "materials/calibration/master_curve.hpp"
#include "materials/calibration/print_fit.hpp"
#include "materials/calibration/prony_fit.hpp"
#include "materials/calibration/stability.hpp"
#include "materials/cards/polymer_card.hpp"

#include <optional>
#include <string>
#include <vector>

namespace cellgrade {

/// A fitted law with the range in which it is stable.
struct RankedFit {
    ElasticFit fit;
    std::vector<StableRange> stable;
    bool stable_over_tests = false;
    std::optional<PronyFit> prony; ///< fitted together with the law; empty: Calibration::prony
};

/// Everything that a study gave.
struct Calibration {
    std::vector<Coupon> coupons; ///< cleaned
    std::vector<TimeCurve> time_curves;
    std::optional<MasterCurve> master;
    std::optional<PronyFit> prony;
    std::vector<RankedFit> fits; ///< the chosen one first, then by rising AICc
    std::optional<HardnessGuess> guess;
    std::optional<PrintFit> print;
    std::vector<std::string> notes;    ///< what was done to the data
    std::vector<std::string> distrust; ///< why the card is not to be trusted; empty: it is
    std::vector<std::string> findings; ///< what the data cannot tell, and what is doubtful
    PolymerCard card;
};

/// Reads all tests of a study. With whole time histories (uniaxial_cycle) law and relaxation are
/// fitted together (fit_histories). Else it fits relaxation first and then the laws to the coupons
/// under that relaxation, so that every modulus comes out instantaneous, and makes the card.
///
/// Chosen is the candidate of least AICc among those stable (Drucker) over all tests; when none is,
/// the least AICc, with a finding. Without coupons a neo-Hookean solid takes its modulus from the
/// hardness, which counts as a reading after 3 s (common practice, no source).
/// Readings of a printer ([print], fit_print) go into the card; where the study gives no porosity
/// or density, those weighed take their place before the fit.
/// Deterministic. Errors (input): any file or value that is wrong; no candidate that can be fitted.
[[nodiscard]] Calibration calibrate(const CalibrationStudy& study);

/// The same from curves already read.
[[nodiscard]] Calibration calibrate_curves(const CalibrationStudy& study,
                                           std::vector<Coupon> coupons,
                                           std::vector<TimeCurve> time_curves);

} // namespace cellgrade
