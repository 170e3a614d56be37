// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

namespace cellgrade {

/// One check of the program against a known answer; the tests and `cellgrade verify` both read it.
struct VerificationRow {
    std::string id;       ///< family and case, e.g. "stiffness/bcc-C44"
    std::string quantity; ///< what is compared, with its set-up
    std::string unit;     ///< "1" when dimensionless
    double reference = 0.0;
    double computed = 0.0;
    double relative_error = 0.0; ///< |computed - reference| / scale; infinite when computed is NaN
    double tolerance = 0.0;      ///< limit of relative_error, derived in the source of the row
    std::string source;          ///< where the reference comes from
    bool pass = false;
};

/// A row whose scale is the reference itself.
[[nodiscard]] VerificationRow verification_row(VerificationRow filled);

/// A row whose reference is (near) zero: the error is measured against `scale`, same unit.
[[nodiscard]] VerificationRow verification_row_scaled(VerificationRow filled, double scale);

/// Stiffness tensors of periodic strut cells against closed forms.
[[nodiscard]] std::vector<VerificationRow> verify_stiffness();

/// Crush traits of curves drawn by hand.
[[nodiscard]] std::vector<VerificationRow> verify_traits();

/// Natural frequencies and buckling loads of columns.
[[nodiscard]] std::vector<VerificationRow> verify_modes();

/// Beams under small loads: deflection, twist, a thin ring, frequencies, rigid motion.
[[nodiscard]] std::vector<VerificationRow> verify_beams_linear();

/// Cantilevers in large rotation in the plane and in space.
[[nodiscard]] std::vector<VerificationRow> verify_beams_large();

/// Columns and inclined struts shortened far past buckling.
[[nodiscard]] std::vector<VerificationRow> verify_columns();

/// Limit loads: two bars, Lee's frame, a deep arch.
[[nodiscard]] std::vector<VerificationRow> verify_snap_through();

/// Waves, step limit, free flight, spin-up, a mass on a spring.
[[nodiscard]] std::vector<VerificationRow> verify_beams_dynamic();

/// Whole crushes with known curves: a clamped column and an endless body-centred cell.
[[nodiscard]] std::vector<VerificationRow> verify_crush();

/// Solids of tetrahedra: blocks and cylinders between platens, a bent strut.
[[nodiscard]] std::vector<VerificationRow> verify_solids();

/// Free flight over 100,000 steps; takes a few seconds.
[[nodiscard]] std::vector<VerificationRow> verify_long_flights();

} // namespace cellgrade
