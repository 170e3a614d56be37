// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <limits>

namespace cellgrade {

inline constexpr double unset = std::numeric_limits<double>::quiet_NaN();

/// What self-contact and platens need to know; the first four have no default.
///
/// Stiffness of a contact at zero depth is the lesser of a physical and a step bound, node or
/// element wise (see physical_stiffness, budget_stiffness). The step bound:
///
///   w_ref = 2 / reference_step        room = w_ref^2 (1 / (1 - step_share)^2 - 1)    [1/s^2]
///
/// The largest eigenvalue of a sum of two matrices is at most the sum of the largest ones, so as
/// long as the contacts alone stay below `room` the stable step stays above
/// (1 - step_share) reference_step. That holds for the design case: `design_contacts` full contacts
/// at once on a node, each half way to its cap. Deeper or more crowded states are reported by
/// stable_omega_squared_bound(), from which the driver lowers the step.
struct ContactSettings {
    double modulus = unset;        ///< Young's modulus of the strut polymer [Pa]
    double poisson = unset;        ///< its Poisson number [-], in (-1, 0.5]
    double friction = unset;       ///< Coulomb number [-], >= 0
    double reference_step = unset; ///< stable step of the net without contact [s]

    double step_share = 0.2;          ///< allowed loss of stable step in the design case [-]
    double design_contacts = 2.0;     ///< contacts at once on one node in the design case [-]
    double cap_share = 0.2;           ///< depth the potential stiffens towards / smaller radius [-]
    double tangent_share = 0.2;       ///< friction spring / normal stiffness at zero depth [-]
    double regularisation = 0.015;    ///< eps of the closest points [-]
    double search_margin_share = 0.8; ///< margin of the pair list / largest radius [-]
    double reference_gap_share = 0.05; ///< joint overlap: reference gap / (r_a + r_b) below [-]
    double move_share = 0.1;           ///< most a node may move in one step / smallest radius [-]

    // Surfaces of solids, see SurfaceContact and, for their design case, contact_layer().
    double layer_share = 0.15;        ///< contact layer / mean edge of the surface triangles [-]
    double layer_tangent_share = 0.5; ///< friction spring / normal stiffness at first touch [-]
    double layer_move_share = 0.25;   ///< most a node may move in one step / its layer [-]
    double layer_margin_share = 0.25; ///< margin of the pair list / mean edge [-]

    /// Throws an input Error that names the value and its range.
    void check() const;

    /// Room for contact in the squared frequency [1/s^2], see above.
    [[nodiscard]] double omega_squared_room() const;

    /// Normal stiffness at zero depth of two crossed equal rods [N/m].
    ///
    ///   F = 4/3 E* sqrt(r) d^1.5,  E* = E / (2 (1 - nu^2))     k: same force at d = r/10
    ///
    /// Source: Hertz contact of perpendicular cylinders of equal radius, which is that of a sphere
    /// of the same radius on a plane (Johnson 1985, Contact Mechanics, sec. 4.2, from memory).
    [[nodiscard]] double physical_stiffness(double radius) const;

    /// Stiffness of a node against a rigid plane [N/m]: E A / r = pi E r, the column of one radius
    /// that the node stands for; platens are stiff, so there the step bound usually decides.
    [[nodiscard]] double platen_stiffness(double radius) const;

    /// Stiffness of a contact layer at first touch [N/m]: that of a film of the polymer as thick as
    /// the layer, held from spreading.
    ///
    ///   k = M A / layer      M = E (1 - nu) / ((1 + nu) (1 - 2 nu))
    ///
    /// It stiffens tenfold before it is used up (Penalty), so walls of the same polymer flow before
    /// their surfaces meet. Without bound for nu = 1/2: there the step bound decides.
    [[nodiscard]] double film_stiffness(double area, double layer) const;
};

} // namespace cellgrade
