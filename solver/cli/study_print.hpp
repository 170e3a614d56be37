// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/cards/polymer_card.hpp"
#include "solver/cli/study.hpp"

#include <optional>
#include <string>
#include <vector>

namespace cellgrade {

/// What a study takes of the print effects of its card.
struct StudyPrint {
    PolymerCard polymer;          ///< of the mean print, or of the one that the seed names
    double diameter_offset = 0.0; ///< to be added to every drawn strut or wall [m]
    std::optional<double> factor; ///< of the build direction, where the study names one
    std::vector<std::string> notes;
};

/// Chooses among the print effects of a card as the study's [print] says, and says so: one note for
/// each effect that the card has or the study asks for, used or not.
/// Errors (input): a scatter_seed for a card without scatter.
[[nodiscard]] StudyPrint
study_print(const PrintChoice& choice, const PolymerCard& card, ModelKind model);

} // namespace cellgrade
