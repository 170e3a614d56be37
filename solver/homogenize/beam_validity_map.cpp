// SPDX-License-Identifier: Apache-2.0
// Rows written from `cellgrade compare examples/06_beams_or_solid/study.toml -o agreement.csv`.
#include "solver/homogenize/beam_validity.hpp"

#include <array>

namespace cellgrade {

namespace {

constexpr std::array<BeamDifference, 2> map{{
    {"body_centred", 0.03, 11.27, 0.0, 0.0, 0.0, 0.0},
    {"body_centred", 0.06, 7.83, 0.0, 0.0, 0.0, 0.0},
}};

} // namespace

std::span<const BeamDifference> beam_differences() {
    return map;
}

} // namespace cellgrade
