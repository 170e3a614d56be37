// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/calibration/coupon.hpp"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace cellgrade {

/// Which measure the columns `strain` and `stress_...` hold that do not say it themselves.
enum class StressMeasure { Unsaid, Nominal, True };

/// What the study says of a coupon file.
struct CouponRequest {
    CouponMode mode;
    StressMeasure measure = StressMeasure::Unsaid;
    std::optional<double> rate_per_s, temperature_C;
    double weight = 1.0;
};

/// What the study says of a relaxation or frequency file.
struct TimeCurveRequest {
    TimeCurve::Kind kind;
    std::optional<double> held_strain; ///< for a file of stresses
    std::optional<double> temperature_C;
    double ramp_time_s = 0.0;
    double weight = 1.0;
};

/// Rows of a coupon test as they stand in the file, in SI and with tension positive; not cleaned
/// (see clean_coupon).
///
/// Columns, by name and unit (the table is in materials/README.md): `stretch`, `nominal_strain`,
/// `true_strain`, `shear_strain`, `volume_ratio`; `nominal_stress_MPa`, `true_stress_MPa`,
/// `shear_stress_MPa`, `pressure_MPa` (also _Pa, _kPa, _GPa; strains also _percent); `time_s`.
/// True measures are turned into nominal ones with J = 1:
///   stretch = exp(true strain)      nominal stress = true stress / stretch
/// Errors (file:line): see read_text_table; a column that is missing, twice there or without unit;
/// a measure that is not said; a value that is not a finite number, or no possible stretch.
[[nodiscard]] Coupon
parse_coupon_csv(const std::string& text, const std::string& file, const CouponRequest& request);

/// Curves of a relaxation or frequency test, one for each value of a column `set`, else one for
/// each temperature (steps of 1 K and more in a column `temperature_C`), else one.
///
/// Columns: `time_s` (or _min, _h) and `relaxation_modulus_MPa` or `nominal_stress_MPa` with the
/// held strain; `frequency_Hz` or `angular_frequency_rad_per_s`, `storage_modulus_MPa` and
/// `loss_modulus_MPa`. Rows are sorted by time; those at or before time 0 are left out, and more
/// than 300 of a curve are averaged in steps of log time. Errors: as parse_coupon_csv.
[[nodiscard]] std::vector<TimeCurve> parse_time_curves_csv(const std::string& text,
                                                           const std::string& file,
                                                           const TimeCurveRequest& request);

} // namespace cellgrade
