// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

namespace cellgrade {

/// How a strut, a wall or a coupon lies to the build direction.
enum class PrintDirection { Unsaid, Along, Across };

/// One size, drawn and printed [m].
struct CalliperReading {
    double drawn = 0.0, measured = 0.0;
    PrintDirection direction = PrintDirection::Unsaid;
    std::string part; ///< which print it is on; empty: not said
    int line = 0;     ///< in its file
};

/// One coupon on the balance.
struct WeighedCoupon {
    double mass = 0.0;   ///< [kg]
    double volume = 0.0; ///< outer, pores included [m^3]
    int line = 0;
};

/// One stiffness or stress of a coupon [Pa].
struct DirectionReading {
    double value = 0.0;
    PrintDirection direction = PrintDirection::Unsaid;
    int line = 0;
};

/// Columns `drawn_mm`, `measured_mm` (also _um, _cm, _m) and, if wanted, `direction` (along or
/// across the build direction: the axis of a strut) and `part` (a name for the print that the strut
/// is on).
///
/// Errors (input, file:line): fewer than two readings; a size not above 0; measured sizes that are
/// 1/25.4 or otherwise less than half or more than twice the drawn ones; columns that look swapped
/// (more than twice as many different drawn sizes as measured ones: sizes are drawn alike and
/// scatter when measured); a column part with one part or an empty cell; what CsvColumns refuses.
[[nodiscard]] std::vector<CalliperReading> parse_calliper_csv(const std::string& text,
                                                              const std::string& file);

/// Columns `mass_g` (also _mg, _kg) and the outer volume: `volume_mm3` (also _cm3, _ml), or
/// `length_mm`, `width_mm`, `height_mm` of a block, or `diameter_mm`, `height_mm` of a cylinder.
///
/// Errors (input, file:line): fewer than two coupons; a value not above 0; a density outside 100 to
/// 5000 kg/m3, which no polymer has; what CsvColumns refuses.
[[nodiscard]] std::vector<WeighedCoupon> parse_weighed_csv(const std::string& text,
                                                           const std::string& file);

/// Columns `direction` (along, across) and `modulus_MPa` or `nominal_stress_MPa`, the stress of
/// every coupon at one and the same strain.
///
/// Errors (input, file:line): fewer than two coupons in a direction; a value not above 0; a mean
/// along that is less than 0.05 or more than 5 of that across; what CsvColumns refuses.
[[nodiscard]] std::vector<DirectionReading> parse_direction_csv(const std::string& text,
                                                                const std::string& file);

} // namespace cellgrade
