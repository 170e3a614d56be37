// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/keyed_file.hpp"
#include "solver/core/types.hpp"
#include "solver/grades/uncertainty.hpp"

#include <array>
#include <optional>
#include <string>
#include <vector>

namespace cellgrade {

/// Which cases of a sweep get runs of their own for their uncertainty.
enum class DoubtCases {
    Each,
    Middle, ///< the middle density of each cell and rate; its shares are carried to the others
};

/// The table [uncertainty] of a study with every default filled in; see examples/README.md.
struct UncertaintyChoice {
    bool given = false; ///< the study has the table; without it nothing is estimated
    std::string effort = "screening";
    std::vector<DoubtPart> parts; ///< that are estimated, in the order of the enumeration
    DoubtCases cases = DoubtCases::Each;
    std::vector<double> mesh_refinements; ///< one or two: elements smaller by these
    std::vector<double> specimen_factors; ///< cells in each direction / those of the case
    double friction_low = 0.0;            ///< Coulomb, on platens and struts alike
    double friction_high = 0.6;
    std::optional<double> polymer_stiffness_share; ///< standard uncertainty; instead of the card's
    Index seeds = 0;                               ///< prints
    double node_offset_share = 0.0;                ///< of prints, where [specimen] has none
    double diameter_scatter_share = 0.0;           ///< the same

    [[nodiscard]] bool has(DoubtPart part) const;
};

/// Reads the table. Errors (input): unknown key or word, a value out of range, refinements that are
/// too near each other, factors that make no whole number of cells of `tiles`; each with file, line
/// and key.
[[nodiscard]] UncertaintyChoice read_uncertainty(const KeyedTable& table,
                                                 const std::array<Index, 3>& tiles);

/// The table as text that reads back the same; "" when the study has none.
[[nodiscard]] std::string uncertainty_text(const UncertaintyChoice& choice);

} // namespace cellgrade
