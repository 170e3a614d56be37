// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/density/rod_neighbours.hpp"

#include <vector>

namespace cellgrade {

/// How closely a union is measured.
enum class Effort {
    Fine,   ///< 10 radii, 64 lines a strut: a cell
    Coarse, ///< 4 radii, 32 lines: a specimen of many cells, five times faster
};

/// Volume of the union of round struts with rounded ends, all radii growing together.
///
///     V(s) = integral_0^s V'(u) du          V'(s) = sum_i r_i A_i(s)
///
/// with r_i the radius of strut i at s = 1 and A_i(s) the part of its surface that lies in no other
/// strut: growth adds volume only there. The lines of a cylinder along its axis meet another
/// rounded strut in one closed-form interval (both are convex), so that the free length of a line
/// is exact; what is left are sums over the angle, over 400 directions of the round ends and over
/// u (Gauss points). Ends marked `is_cut` are flat: no cap, no growth
/// past the cutting plane.
///
/// Source: divergence theorem; own derivation. Error against closed forms below 1e-4 of V (Fine)
/// and 5e-4 up to V = 0.3 of the space (Coarse), tests/unit/meshes/density_test.cpp. Works for any
/// lattice vectors, periodic or not. Cost: struts x radii x lines x neighbours x about 40 ns;
/// allocates; one thread.
class RodUnion {
public:
    /// Ready for s in (0, scale_limit]. The net must outlive this object.
    RodUnion(const StrutNet& net, double scale_limit, Effort effort);

    /// V'(s) [m^3]
    [[nodiscard]] double growth(double s) const;
    /// V(s) [m^3]
    [[nodiscard]] double volume(double s) const;

private:
    [[nodiscard]] double free_side_area(Index strut, double s) const;
    [[nodiscard]] double free_cap_area(Index node, double s) const;

    const StrutNet& net_;
    Effort effort_;
    std::vector<std::vector<RodNeighbour>> near_;
    std::vector<Index> thickest_; ///< one a node: its thickest strut, `no_index` for flat ends
};

/// Volume of the union of the round struts of a net [m^3].
[[nodiscard]] double union_volume(const StrutNet& net, Effort effort = Effort::Fine);

/// Sum of cross-section times length over the struts: joints counted as often as struts meet [m^3].
[[nodiscard]] double centre_line_volume(const StrutNet& net);

} // namespace cellgrade
