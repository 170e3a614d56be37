// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"

#include <array>
#include <functional>
#include <span>
#include <vector>

namespace cellgrade {

/// One of the smooth functions whose least value is the field of a solid.
struct FieldPiece {
    double value; ///< [unit of the field]
    Vec3 gradient;
    Index number; ///< the same at places that differ by less than a period
};

/// A specimen as the set of points where a function is negative, inside a right-angled box.
///
/// The function is continuous and, near its zero set, has a gradient that is not zero. It need not
/// be a distance. Along a periodic axis it repeats with the box to the last bit when it is asked at
/// coordinate 0 and at the far face, so that meshes of opposite faces match.
struct ImplicitSolid {
    using Field = std::function<void(std::span<const Vec3> points, std::span<double> values)>;

    /// Fills `near` with the pieces of the field at x whose value is less than `within` above the
    /// least, ascending.
    using Pieces = std::function<void(const Vec3& x, double within, std::vector<FieldPiece>& near)>;

    Field field;                    ///< values at points [m] of 0 .. box; any unit; thread-safe
    Vec3 box = Vec3::Zero();        ///< gross size [m]
    std::array<bool, 3> periodic{}; ///< along x, y, z
    double narrowest = 0.0;         ///< thinnest wall or strut [m], an estimate
    /// Of a field that is the least of several smooth ones, with creases where two of them vanish,
    /// sharp or rounded; thread-safe. Empty for a field without creases.
    Pieces pieces;
    double rounding = 0.0; ///< radius of the fillet that the field has where its pieces meet [m]

    [[nodiscard]] double value(const Vec3& x) const {
        double f = 0.0;
        field(std::span(&x, 1), std::span(&f, 1));
        return f;
    }
};

} // namespace cellgrade
