// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/calibration/coupon.hpp"

#include <Eigen/Core>

#include <span>

namespace cellgrade {

/// Readings of a curve: one a row for relaxation; storage rows, then loss rows for frequencies.
[[nodiscard]] Eigen::Index reading_count(const TimeCurve& curve);

/// Modulus readings [Pa], in the order of the rows.
[[nodiscard]] Eigen::VectorXd readings_of(const TimeCurve& curve);

/// What a reading is compared to: itself, or for a loss modulus the storage modulus [Pa].
[[nodiscard]] Eigen::VectorXd reading_sizes(const TimeCurve& curve);

/// Answer of one branch of modulus 1 and that time to each reading of a curve; time infinite: of
/// the long-term modulus. Formulae at fit_prony.
[[nodiscard]] Eigen::VectorXd branch_answer(const TimeCurve& curve, double time_s);

} // namespace cellgrade
