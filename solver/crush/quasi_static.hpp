// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/crush/crush_record.hpp"
#include "solver/crush/crush_setup.hpp"

namespace cellgrade {

/// What a window of rows says about inertia.
struct InertiaWindow {
    double kinetic_share = 0.0; ///< mean kinetic / mean internal energy [-]
    double platen_balance =
        0.0; ///< |mean top - mean bottom| / largest mean force so far, vectors [-]
};

/// Inertia over rows [first, last) of a history. Internal energy: stored, viscous, contact and
/// friction. The force that the difference of the platens is measured against is the larger of the
/// mean over the window and the mean over all rows so far, so that a snap that unloads the specimen
/// for a moment does not divide by nothing.
[[nodiscard]] InertiaWindow inertia_window(const CrushHistory& history, Index first, Index last);

/// Strain over which inertia is averaged and from which it is judged: the start-up is left out, as
/// common practice (no source) does.
inline constexpr double inertia_window_strain = 0.02;
inline constexpr double inertia_from_strain = 0.05;

/// Worst windows of `rows_per_window` rows that begin at `inertia_from_strain` or later and end in
/// (after, rows].
[[nodiscard]] InertiaWindow worst_inertia(
    const CrushHistory& history, double height, Index rows_per_window, Index after, Index rows);

/// First platen speed of a quasi-static run [m/s]: the way to `to_strain` takes 25 slow periods, or
/// what the user set; `speed_share` of it.
[[nodiscard]] double first_solver_speed(const CrushSetup& setup, double height, double slow_period);

} // namespace cellgrade
