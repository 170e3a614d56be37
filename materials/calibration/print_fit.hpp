// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/calibration/calibration_study.hpp"
#include "materials/calibration/print_csv.hpp"
#include "materials/calibration/reading_statistics.hpp"
#include "materials/cards/polymer_card.hpp"

#include <optional>
#include <span>
#include <string>
#include <vector>

namespace cellgrade {

/// Readings of a printer; a part is empty without its file.
struct PrintReadings {
    std::vector<CalliperReading> calliper;
    std::vector<WeighedCoupon> weighed;
    std::vector<DirectionReading> direction;
    std::string calliper_name, weighed_name, direction_name; ///< of the files, for messages
};

/// What the readings tell; SI.
struct PrintFit {
    /// Printed minus drawn size [m]: of the prints where the readings name them, else of readings.
    std::optional<ReadingStatistics> offset;
    std::optional<double> strut_sd; ///< of struts inside a print; unset: not told apart [m]
    std::optional<ReadingStatistics> porosity; ///< [-]
    std::optional<ReadingStatistics> density;  ///< pores included [kg/m^3]
    std::optional<RatioStatistics> factor;     ///< along over across [-]
    int factor_readings = 0;                   ///< of the smaller of the two groups
    std::vector<std::string> notes;            ///< what is odd in the readings
    std::vector<std::string> findings;         ///< what they cannot tell, or contradict
};

/// Reads the files of a study's [print]. Errors: as the readers of print_csv.hpp.
[[nodiscard]] PrintReadings read_print_readings(const PrintStudy& study);

/// Statistics of the readings:
///
///   offset = measured - drawn      porosity = 1 - mass/(volume rho)      factor = along / across
///
/// each as mean, sample standard deviation and 95 % interval of the mean (reading_statistics,
/// ratio_statistics); of the offset, where the readings name their prints, the scatter between
/// prints (group_statistics), which is what one print out of many has. No reading is ever left out:
/// an outlier (Grubbs, 5 %) is a note. A finding tells when the offset grows with the drawn size
/// (slope_interval, 5 %), when it differs along and across the build direction (Welch, 5 %), and
/// when one drawn size alone leaves the first of these open. Errors (input): a coupon whose
/// porosity is below -0.02, or a mean below 0: it weighs more than the solid polymer could; a
/// porosity that scatters more than 1.41 of its mean.
/// @param solid_density  of the polymer without pores [kg/m^3]; only with weighed coupons
[[nodiscard]] PrintFit fit_print(const PrintReadings& readings, double solid_density);

/// Puts weighed porosity and density into a study where it does not give them itself: what a study
/// gives wins, and a note says so.
void put_weighed(CalibrationStudy& study, PrintFit& fit, const PrintReadings& readings);

/// Puts [print] and its sources into a card.
void put_print(PolymerCard& card,
               const PrintFit& fit,
               const CalibrationStudy& study,
               const PrintReadings& readings);

} // namespace cellgrade
