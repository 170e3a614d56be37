// SPDX-License-Identifier: Apache-2.0
// Rows written from `cellgrade compare examples/06_beams_or_solid/study.toml -o agreement.csv`.
#include "solver/homogenize/beam_validity.hpp"

#include <array>

namespace cellgrade {

namespace {

constexpr std::array<BeamDifference, 4> map{{
    {"body_centred", 0.03, 11.25, -0.007, 0.000, -0.006, -0.006},
    {"body_centred", 0.06, 7.83, -0.038, -0.031, -0.037, -0.037},
    {"body_centred", 0.12, 5.39, -0.064, -0.045, -0.059, -0.058},
    {"body_centred", 0.20, 4.06, -0.150, -0.082, -0.132, -0.127},
}};

} // namespace

std::span<const BeamDifference> beam_differences() {
    return map;
}

} // namespace cellgrade
