// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/calibration/coupon.hpp"

namespace cellgrade {

enum class ToeRule { Remove, Keep };

/// Turns the rows of a file into one loading branch and notes each thing done to them.
///
/// 1. rows after the largest strain are unloading: left out;
/// 2. rows that step back: left out; rows of equal strain: averaged;
/// 3. toe (only in the first 5 % of strain, from 12 rows there on): where the curve starts with
///    less than 0.6 of a slope it reaches soon after, that slope is drawn down to zero stress and
///    strain counted from there (the correction of tensile test standards; from memory);
/// 4. more than 300 rows: averaged in 150 steps of strain.
/// Times, from the file or the rate, go along. Errors (file): fewer than three rows are left; the
/// strain falls from its first row on; a slope at the start that no polymer has (below 0.01 MPa or
/// above 20 GPa), with the unit that would make it likely.
void clean_coupon(Coupon& coupon, ToeRule toe);

/// Refuses a first slope that no polymer has, 10 kPa to 20 GPa: a slip of units makes it wrong by a
/// hundred, a thousand or a million. Error (file).
void refuse_implausible(const Coupon& coupon);

} // namespace cellgrade
