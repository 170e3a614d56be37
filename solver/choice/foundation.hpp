// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/choice/grade_response.hpp"
#include "solver/choice/impact_case.hpp"

#include <vector>

namespace cellgrade {

/// A pad as independent columns between a stiff backing and a rigid body that sinks into it along
/// the normal: every column is crushed by what the body's surface is deeper than the pad's face
/// there.
///
///   e(A) = (depth - height(A)) / thickness,   force = integral of stress over 0 <= A <= pad area
///
/// A counts the area inside the contour of equal height through a column (Striker), so shapes need
/// no mesh; a pad that ends before the body does is cut along such a contour.
///
/// Strain rate of a column: e / (time since it was touched), the rate of the constant-rate crush
/// that would be as far at that time. The momentary rate would fall to 0 at the largest depth,
/// where a polymer still remembers how fast it was loaded; for a relaxation t^-0.1 the stress at
/// the end of a half-sine approach is met to +6 % (foundation_test), with the momentary rate it is
/// missed by a quarter, from 50 to 1 1/s. From the turn on a column keeps the rate it had there.
///
/// A column loads along L(e) and, when the body goes back, unloads along L(e) h(e / e_m)
/// (GradeResponse), e_m its largest strain. In a later hit it loads along the same softened path up
/// to the largest strain of earlier hits and along L(e) beyond. With recovery R between the hits
///
///   stress = (1 - R) stress(as left) + R stress(as new)
///
/// What a table knows is one loading and one return: that a second loading follows the return, and
/// R, are assumptions.
class Foundation {
public:
    /// @param grade must outlive the foundation
    /// @param stress_factor on all stresses, for the doubt about them
    Foundation(const GradeResponse& grade,
               const Striker& striker,
               const Pad& pad,
               double stress_factor = 1.0);

    /// The body has left; the next hit begins at depth 0 and time 0.
    void begin_hit(double recovery_share);
    /// Moves the body and gives the force on it [N]. Time must not fall; after the depth has once
    /// fallen the hit is on its way back.
    double move_to(double depth_m, double time_s);

    /// Largest strain of the deepest column, in this hit.
    [[nodiscard]] double largest_strain() const { return deepest_ / pad_.thickness_m; }
    /// Strain rate of the deepest column, now [1/s].
    [[nodiscard]] double rate_per_s() const { return rings_.front().rate; }
    [[nodiscard]] double thickness_m() const { return pad_.thickness_m; }
    /// Largest slope of the force over depth that a grade's table allows [N/m].
    [[nodiscard]] double steepest_N_per_m() const;

private:
    struct Ring {
        double inner_m2 = 0.0, outer_m2 = 0.0; ///< enclosed areas of its two rims
        double touched_s = -1.0;               ///< below 0: not yet
        double largest = 0.0;                  ///< strain, in this hit
        double before = 0.0;                   ///< largest strain of earlier hits
        double rate = 0.0;                     ///< [1/s]
    };
    [[nodiscard]] double stress(const Ring& ring, double strain, bool going_back) const;

    const GradeResponse* grade_; ///< not owned; a pointer so that a foundation can be put back
    Striker striker_;
    Pad pad_;
    double factor_;
    double recovery_ = 0.0;
    std::vector<Ring> rings_;
    double depth_ = 0.0, time_ = 0.0, deepest_ = 0.0;
};

} // namespace cellgrade
