// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace cellgrade {

/// How far beams are from tetrahedra of the same cell: trait by beams over trait by the solid,
/// less 1, NaN where it is not known.
struct BeamDifference {
    std::string_view cell;
    double relative_density;
    double slenderness; ///< shortest strut over largest diameter [-]
    double stiffness;   ///< quasi-elastic gradient [-]
    double collapse;    ///< collapse stress [-]
    double plateau;     ///< plateau stress [-]
    double sea;         ///< energy per mass to 50 % strain [-]
};

/// The map, by cell and rising density. Computed by
/// `cellgrade compare examples/06_beams_or_solid/study.toml`, whose study tells the conditions:
/// one cell, periodic sides, platens, quasi-static, one polymer.
[[nodiscard]] std::span<const BeamDifference> beam_differences();

/// What the map says about a grade as beams: of a cell in the map between its densities (linear),
/// else the entry of the nearest slenderness, of any cell. Nothing for NaN.
struct BeamDoubt {
    BeamDifference difference;
    bool same_cell = false; ///< and its density lies within the map
    [[nodiscard]] double worst() const;
};
[[nodiscard]] std::optional<BeamDoubt>
beam_doubt(std::string_view cell, double relative_density, double slenderness);

/// One line for people and files.
[[nodiscard]] std::string doubt_text(const BeamDoubt& doubt);

} // namespace cellgrade
