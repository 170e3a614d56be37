// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"

#include <span>
#include <vector>

namespace cellgrade {

/// A value that varies through the thickness without a seam: given at the middle of each of n
/// layers of equal height, monotone and once continuously differentiable between.
///
///   value(u) = h00 v_k + h10 m_k + h01 v_k+1 + h11 m_k+1      (cubic Hermite, unit spacing)
///   m_k = 2 s_k-1 s_k / (s_k-1 + s_k) when both slopes have one sign, else 0
///
/// Below the first and above the last middle it is constant, or goes round when periodic. Source:
/// Fritsch and Butland 1984, SIAM J Sci Stat Comput 5:300 (harmonic mean slopes, from memory).
class LayerProfile {
public:
    LayerProfile(std::vector<double> at_middles, bool periodic);

    /// @param u height in layers; 0 .. n is the specimen
    [[nodiscard]] double value(double u) const noexcept;

    [[nodiscard]] bool is_uniform() const noexcept { return uniform_; }
    [[nodiscard]] const std::vector<double>& at_middles() const noexcept { return values_; }
    [[nodiscard]] double most() const noexcept;
    [[nodiscard]] double least() const noexcept;

private:
    [[nodiscard]] std::size_t wrapped(Index k) const noexcept;

    std::vector<double> values_;
    std::vector<double> slopes_; ///< per layer
    bool periodic_;
    bool uniform_;
};

} // namespace cellgrade
