// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/cards/polymer_card.hpp"
#include "meshes/specimens/specimen_mesh.hpp"
#include "solver/core/log.hpp"
#include "solver/crush/crush_record.hpp"

#include <filesystem>
#include <functional>
#include <optional>
#include <string>

namespace cellgrade {

/// How the specimen meets the platens.
enum class SpecimenEnds {
    Platen,   ///< pressed between rigid plates with Coulomb friction; may slide and lift off
    Bonded,   ///< end nodes move with the plates in all freedoms; of an endless specimen whose
              ///< width is free they spread and draw in with it
    Periodic, ///< no plates: the period along z is driven (mesh periodic along z)
};

/// What bounds the specimen sideways; a periodic mesh has its own borders.
enum class SpecimenSides {
    Free,     ///< nothing; a periodic mesh adjusts its width to zero mean stress
    Confined, ///< frictionless walls on a finite mesh; fixed width on a periodic one
};

enum class SectionKind {
    Resultants, ///< closed-form elastic N, Q, M, T from E, nu of the card
    Fibres,     ///< fibres through the section with the card's uniaxial law and its Prony terms
};

/// How fast, how far and back.
struct CrushLoading {
    /// True platen speed; inertia is part of the result [m/s]. Exactly one of the two is set.
    std::optional<double> speed_m_per_s;
    /// Nominal strain rate of a test frame: quasi-static; the polymer feels this rate while the
    /// equations of motion run faster, and inertia is proven negligible [1/s].
    std::optional<double> strain_rate_per_s;
    double to_strain = 0.7; ///< turn or stop at this nominal strain
    std::optional<double>
        to_stress_ratio; ///< ... or at this multiple of the mean stress over 20-40 %
    bool unload = false; ///< go back until the force is gone
    /// Shear the specimen along x to this shear strain (way / height) once `to_strain`, which may
    /// then be 0, is reached; 0: no shear.
    double shear_to_strain = 0.0;
    /// Between the straight path of the platen and its normal, towards x [rad]; not together with
    /// shear. `to_strain` is that of the shortening.
    double path_angle = 0.0;
};

[[nodiscard]] inline bool moves_sideways(const CrushLoading& loading) {
    return loading.shear_to_strain > 0.0 || loading.path_angle > 0.0;
}

struct CrushNumerics {
    double step_safety = 0.9; ///< share of the stable step that is used
    /// Most that a node or platen may move in one step, over the smallest radius: contact stiffens
    /// over 0.2 radii, so ten steps resolve it and its work, whatever the speed of an impact.
    double move_cap = 0.02;
    double contact_step_share = 0.2; ///< most that contact may lower the stable step
    double bulk_viscosity = 0.06; ///< linear coefficient, share of critical damping of an element
    double quadratic_viscosity = 1.2; ///< of solids under pressure
    double damping_ratio = 0.05; ///< of the slowest sway of the specimen; quasi-static runs only
    bool scale_rotary_inertia =
        true; ///< raise rotary inertia so that bending does not set the step
    /// Of the solid's mass, spent on its smallest elements for a longer step; quasi-static runs.
    double added_mass_share = 0.1;
    double rows_per_strain = 1000.0;            ///< recorded rows per unit of nominal strain
    Index frames = 0;                           ///< saved shapes over the run
    std::optional<double> solver_speed_m_per_s; ///< first platen speed of a quasi-static run
    double speed_share = 1.0; ///< of that speed, set or estimated: to see what inertia does
};

/// Beyond these the run is not to be trusted.
struct CrushLimits {
    double energy_closure = 0.01; ///< |defect| / largest energy
    double kinetic_share = 0.05;  ///< kinetic / internal energy after 5 % strain, quasi-static
    double platen_balance = 0.03; ///< |top - bottom| / mean force, quasi-static, after 5 % strain
    double penetration = 0.25;    ///< of the smaller radius
};

/// All that a crush needs; SI.
struct CrushSetup {
    SpecimenMesh mesh;
    PolymerCard polymer;                       ///< as it is at the temperature of the run
    std::optional<double> temperature_K;       ///< unset: that of the card, whatever it is
    SectionKind section = SectionKind::Fibres; ///< of beams; solids carry the law itself
    SpecimenEnds ends = SpecimenEnds::Platen;
    SpecimenSides sides = SpecimenSides::Free;
    double platen_friction = 0.0; ///< Coulomb coefficient on the plates
    double strut_friction = 0.0;  ///< Coulomb coefficient between struts or walls
    bool self_contact = true;
    CrushLoading loading;
    CrushNumerics numerics;
    CrushLimits limits;
};

/// A look at a running crush, a few times a second at most.
struct CrushProgress {
    double nominal_strain = 0.0;
    double share_done = 0.0; ///< 0..1 of the loading path
    Index steps = 0;
    double step_s = 0.0;
    double nominal_stress_Pa = 0.0;
};

struct CrushHooks {
    std::function<void(const CrushProgress&)> progress; ///< may be empty
    std::function<bool()> stop;                         ///< true: end the run as Interrupted
    std::filesystem::path checkpoint; ///< empty: none; else written and resumed from
    double checkpoint_every_strain = 0.02;
    Log log;
};

} // namespace cellgrade
