// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"

#include <optional>
#include <string>
#include <vector>

namespace cellgrade {

/// How far single prints lie around their mean.
struct Scatter {
    double sd;                     ///< sample standard deviation, in the unit of the mean
    std::optional<Index> readings; ///< that mean and sd come from

    bool operator==(const Scatter&) const = default;

    /// Standard deviation of the next print, the mean itself being known from n readings only:
    ///
    ///   sd sqrt(1 + 1/n)        sd, where n is not known
    ///
    /// Source: prediction interval of one further reading (Hahn and Meeker 1991, from memory). The
    /// Student tails of a small n are left out: at n = 5 the true 95 % reach is 1.4 times wider.
    [[nodiscard]] double sd_of_next() const;
};

struct ScatteredValue {
    double mean;
    std::optional<Scatter> scatter;

    bool operator==(const ScatteredValue&) const = default;
};

/// What a printer does to a polymer and to the shape it was given; SI. Every part is optional.
///
/// The mean porosity is the void fraction of the law, here is its scatter alone.
struct PrintEffects {
    std::optional<Scatter> void_fraction; ///< [-]
    /// Printed minus drawn strut diameter or wall thickness, the same for every size [m].
    std::optional<ScatteredValue> diameter_offset;
    /// Stiffness and stress along the build direction / those in the layer plane, for which the
    /// law of the card stands [-].
    std::optional<ScatteredValue> build_direction_factor;

    bool operator==(const PrintEffects&) const = default;

    /// Throws an input Error naming the key and what would be right: values that are not finite, a
    /// scatter below 0 or without its value, fewer than two readings, a factor outside 0.05 to 5,
    /// and a scatter so wide beside a positive mean (sd above 1.41 of it) that no positive
    /// quantity has it.
    /// @param mean_void_fraction  of the law [-]
    void check(double mean_void_fraction) const;
};

/// Keys of the values, each of which has a line in the sources of a card; that of a standard
/// deviation covers its number of readings.
[[nodiscard]] std::vector<std::string> print_value_keys(const std::optional<PrintEffects>& print);

/// Values outside what printers do, one line each: an offset beyond 0.5 mm, a factor outside 0.3
/// to 1.5 (wide bands, common practice, no source).
[[nodiscard]] std::vector<std::string> print_notes(const std::optional<PrintEffects>& print);

/// Factor on the stiffness of a bar at an angle to the build direction [-]:
///
///   1 / m = cos^2 / f + sin^2        f along the build direction, 1 in the layer plane
///
/// This is the modulus of a transversely isotropic solid, 1/E = c^4/E3 + s^4/E1 + c^2 s^2 (1/G13 -
/// 2 nu31/E3), with the shear modulus that 1/G13 = 1/E1 + 1/E3 + 2 nu31/E3 gives.
/// Source: Lekhnitskii 1963 (rotation of the modulus) and Saint-Venant's relation for G13, both
/// from memory. Never outside [min(f, 1), max(f, 1)]. No coupon at an angle stands behind it: a
/// print whose layers shear more easily is softer at 45 degrees than it says.
/// @param cosine  of the angle between bar and build direction
[[nodiscard]] double factor_at_angle(double factor, double cosine);

} // namespace cellgrade
