// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/crush/drop_record.hpp"
#include "solver/crush/drop_setup.hpp"

namespace cellgrade {

/// Fills the filtered acceleration of a history. Rows are not evenly apart (they end with a step),
/// so the impulse is taken between even times first, which keeps every newton second.
void filter_acceleration(DropHistory& history, double interval_s, double channel_class_Hz);

/// All traits of a drop.
/// @param left whether the striker left the pad: else rebound speed, restitution and returned
///             energy are not known
[[nodiscard]] DropTraits
drop_traits(const DropHistory& history, const DropStriker& striker, double pad_height, bool left);

/// Whether the pad was driven past its efficient depth: that lies more than `inertia_window_strain`
/// of the height before the deepest, and the efficiency fell by a tenth since.
///
///   efficiency(z) = work to z / (largest force to z * height)
///
/// Source: the energy efficiency whose largest value is taken as the onset of densification, Miltz
/// & Gruenbaum (1981), Polym. Eng. Sci. 21, 1010 (from memory); the largest force so far in place
/// of the force, so that ringing makes no efficiency. The tenth: common practice, no source.
[[nodiscard]] bool past_densification(const DropHistory& history,
                                      const DropTraits& traits,
                                      double mass_kg,
                                      double pad_height);

} // namespace cellgrade
