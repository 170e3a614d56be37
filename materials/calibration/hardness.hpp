// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace cellgrade {

/// A modulus guessed from a hardness, and how far off such guesses are.
struct HardnessGuess {
    double youngs_modulus_Pa; ///< of a slow test at small strain
    double low_Pa, high_Pa;   ///< a factor of 1.3 either way: common practice, no source
};

/// Young's modulus from Shore A hardness.
///
///   E / MPa = 0.0981 (56 + 7.62336 S) / (0.137505 (254 - 2.54 S))
///
/// Source: Gent (1958), Trans. Inst. Rubber Ind. 34, 46; constants from memory.
/// Valid for S from 20 to 80; above, the needle hardly sinks and the guess runs away. A hardness
/// reading takes a few seconds, so the modulus is a slow one.
/// @throws Error (input) for a hardness below 10 or above 95
[[nodiscard]] HardnessGuess guess_from_shore_A(double shore_A);

} // namespace cellgrade
