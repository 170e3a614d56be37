// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/laws/point_law.hpp"
#include "solver/core/lane_roots.hpp"

#include <limits>

namespace cellgrade {

/// Share of a void v that is closed after a volume loss c: c / v, 0 for c <= 0 and without void.
/// NaN stays NaN.
template <class S>
[[nodiscard]] CELLGRADE_INLINE S closed_share(const S& c, double void_fraction) noexcept {
    const double per_void = void_fraction > 0.0 ? 1.0 / void_fraction : 0.0;
    return select(c <= 0.0, S(0.0), per_void * c);
}

/// What energy and stress are past closure: NaN, which a run sees and ends at.
template <class S>
[[nodiscard]] CELLGRADE_INLINE S past_closure() noexcept {
    return S(std::numeric_limits<double>::quiet_NaN());
}

/// Energy that closes the void of a porous solid, against the volume lost c.
///
///   y = c / v      U_d = kappa v^2 (-ln(1 - y) - y - y^2/2)      dU_d/dc = kappa v y^2 / (1 - y)
///
/// for 0 < c < v; zero for c <= 0 and for v = 0. It starts with zero value, slope and curvature, so
/// kappa stays the modulus at rest; the slope rises without bound as the void closes (c -> v).
/// Past closure both are NaN.
/// Source: the project's own choice (a logarithmic barrier without its first two Taylor terms).
struct VoidClosure {
    double kappa;         ///< bulk modulus at rest [Pa]
    double void_fraction; ///< void volume / total volume at rest [-], 0: no void

    /// U_d [J/m^3] at volume loss c [-].
    template <class S>
    [[nodiscard]] S energy(const S& c) const noexcept {
        const S y = closed_share(c, void_fraction);
        const S rest = -lane::log1p(-y) - y - 0.5 * y * y;
        return select(y < 1.0, kappa * void_fraction * void_fraction * rest, past_closure<S>());
    }
    /// dU_d/dc [Pa].
    template <class S>
    [[nodiscard]] CELLGRADE_INLINE S slope(const S& c) const noexcept {
        const S y = closed_share(c, void_fraction);
        return select(y < 1.0, kappa * void_fraction * (y * y) / (1.0 - y), past_closure<S>());
    }
};

/// Volumetric energy with densification, shared by the laws that split off J = det F.
///
///   U = kappa/4 (J^2 - 1 - 2 ln J) + U_d(1 - J)      U' = kappa/2 (J - 1/J) - U_d'(1 - J)
///
/// U'(1) = 0, U''(1) = kappa, U'' > 0 everywhere; U' -> -inf as J -> 1 - void_fraction, and as
/// J -> 0 when there is no void. No void means an ordinary compressible solid, not a rigid one:
/// the limit void_fraction -> 0 (a wall at J = 1) is not the case void_fraction = 0.
/// Source: first part Simo & Taylor (1982), also Holzapfel (2000), Nonlinear Solid Mechanics,
/// sec. 6.5; second part see VoidClosure.
struct DensifyingVolume {
    double kappa;         ///< bulk modulus at rest [Pa]
    double void_fraction; ///< [-]

    /// U [J/m^3].
    template <class S>
    [[nodiscard]] S energy(const S& J) const noexcept {
        return 0.25 * kappa * (J * J - 1.0 - 2.0 * lane::log(J)) + closure().energy(S(1.0 - J));
    }
    /// U' = mean Cauchy stress, tension positive [Pa].
    template <class S>
    [[nodiscard]] CELLGRADE_INLINE S slope(const S& J) const noexcept {
        return 0.5 * kappa * (J - 1.0 / J) - closure().slope(S(1.0 - J));
    }
    /// J below which the solid does not exist.
    [[nodiscard]] double smallest_jacobian() const noexcept {
        return void_fraction > 0.0 ? 1.0 - void_fraction : 0.0;
    }

private:
    [[nodiscard]] VoidClosure closure() const noexcept { return {kappa, void_fraction}; }
};

/// Base of the laws that split off J and answer to it by DensifyingVolume: they have the members
/// `kappa` [Pa] and `void_fraction` [-].
template <class Law>
struct LawOfSplitVolume : LawOfShape<Law> {
    [[nodiscard]] double smallest_jacobian() const { return closing().smallest_jacobian(); }

    template <class S>
    [[nodiscard]] CELLGRADE_INLINE S mean_stress(const S& volume) const noexcept {
        return closing().slope(volume);
    }
    template <class S>
    [[nodiscard]] S volume_energy(const S& volume) const noexcept {
        return closing().energy(volume);
    }

private:
    [[nodiscard]] DensifyingVolume closing() const noexcept {
        const Law& law = static_cast<const Law&>(*this);
        return {law.kappa, law.void_fraction};
    }
};

} // namespace cellgrade
