// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/crush/crush_setup.hpp"
#include "solver/dynamics/body_dynamics.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace cellgrade {

/// How notes begin that tell where a run left what its polymer card was measured for.
inline constexpr std::string_view outside_card_mark = "outside the polymer card: ";

/// What those of the notes tell, without the mark and with "; " between; empty: nothing was left.
[[nodiscard]] std::string outside_card(const std::vector<std::string>& notes);

/// What of a setup lies outside what its polymer card was measured for, and struts that overlap at
/// the start.
/// @param strain_rate_per_s  nominal, of the specimen
[[nodiscard]] std::vector<std::string>
setup_notes(const CrushSetup& setup, double strain_rate_per_s, const BodyDynamics& dynamics);

/// How far the polymer is stretched beyond its card now; empty where it is not.
[[nodiscard]] std::string
stretch_note(const CrushSetup& setup, double nominal_strain, const BodyDynamics& dynamics);

} // namespace cellgrade
