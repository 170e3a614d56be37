// SPDX-License-Identifier: Apache-2.0
// Rows written from `cellgrade compare examples/06_beams_or_solid/study.toml -o agreement.csv`.
#include "solver/homogenize/beam_validity.hpp"

#include <array>

namespace cellgrade {

namespace {

constexpr std::array<BeamDifference, 4> map{{
    {"body_centred", 0.03, 11.25, 0.011, 0.014, 0.011, 0.011},
    {"body_centred", 0.06, 7.83, -0.009, -0.004, -0.009, -0.008},
    {"body_centred", 0.12, 5.39, -0.013, 0.012, -0.006, -0.005},
    {"body_centred", 0.20, 4.06, -0.079, -0.008, -0.061, -0.052},
}};

} // namespace

std::span<const BeamDifference> beam_differences() {
    return map;
}

} // namespace cellgrade
