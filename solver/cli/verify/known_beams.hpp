// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/beams/beam_mesh.hpp"
#include "solver/cli/verify/verification_row.hpp"
#include "solver/dynamics/body_dynamics.hpp"

#include <string>
#include <utility>
#include <vector>

/// Chains of beams for problems with known answers, and the means to bring them to rest.
namespace cellgrade::known_beams {

using Rows = std::vector<VerificationRow>;

/// A chain through corner points, each leg in `per_leg` equal elements of one radius.
[[nodiscard]] BeamMesh chain(const std::vector<Vec3>& corners, int per_leg, double radius = 1.0);

/// A section by its stiffness and inertia a unit length, for problems that name no round one.
struct Section {
    double EA = 0.0, kGA = 0.0; ///< [N]
    double GJ = 0.0, EI = 0.0;  ///< [N m^2]
    double mass = 1.0;          ///< rho A [kg/m]
    double polar = 1.0;         ///< rho J about the centre line [kg m]
    double bend = 1.0;          ///< rho I [kg m]
};

/// Round struts by the functions of a crush.
[[nodiscard]] BeamBody
round_body(const BeamMesh& mesh, const SectionModuli& moduli, double density, RotaryRule rule);

/// The same elements with the stiffness and mass of a section in every lane; radii do not count.
/// `rule` as for lumped_mass().
[[nodiscard]] BeamBody section_body(const BeamMesh& mesh, const Section& section, RotaryRule rule);

/// Holds all nodes in the plane across `axis`: no motion along it, no turn about the other two.
void hold_in_plane(BodyDynamics& dynamics, const BeamMesh& mesh, int axis);

/// Levels visited one after another from 0: a smooth way to each (quintic in time, no jump of
/// acceleration), then a pause there.
class Stages {
public:
    Stages(std::vector<double> levels, double move_s, double pause_s)
        : levels_(std::move(levels)), move_(move_s), pause_(pause_s) {}

    [[nodiscard]] double level(double time) const;
    [[nodiscard]] double rate(double time) const;
    /// When the pause at level k ends [s].
    [[nodiscard]] double end(int k) const { return (k + 1) * (move_ + pause_); }
    [[nodiscard]] int size() const { return static_cast<int>(levels_.size()); }

private:
    struct Leg {
        double from = 0.0, to = 0.0, s = 0.0; // s in [0, 1] along the way
    };
    [[nodiscard]] Leg leg(double time) const;

    std::vector<double> levels_;
    double move_, pause_;
};

/// Steps to just before `time`, then demands rest: kinetic energy below 1e-8 of the stored energy,
/// which is an amplitude of motion of 1e-4 of the deflection. Throws a run Error otherwise.
void settle(BodyDynamics& dynamics, double time);

/// Energies of the time at which the body is; takes two more steps.
[[nodiscard]] EnergyLedger energies(BodyDynamics& dynamics);

[[nodiscard]] Vec3 position(const BodyDynamics& dynamics, Index node);
/// Angle by which a node has turned about `axis` in a plane problem, in (-pi, pi] [rad].
[[nodiscard]] double turn_about(const BodyDynamics& dynamics, Index node, int axis);

/// What a row compares, and how closely.
struct Check {
    double reference = 0.0;
    double computed = 0.0;
    double tolerance = 0.0;
    double scale = 0.0; ///< of the error; 0: the reference
};
void add(Rows& rows,
         std::string id,
         std::string quantity,
         std::string unit,
         const Check& check,
         const std::string& source);

/// Two rows for errors at n, 2n and 4n elements: the observed order of each halving is 2 within
/// `band`.
void add_order(Rows& rows,
               const std::string& id,
               const std::string& quantity,
               const std::vector<double>& errors,
               double band);

} // namespace cellgrade::known_beams
