// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/contact/strut_contact.hpp"
#include "solver/contact/surface_contact.hpp"
#include "solver/dynamics/body.hpp"
#include "solver/dynamics/box_motion.hpp"
#include "solver/dynamics/energy_ledger.hpp"
#include "solver/dynamics/node_motion.hpp"
#include "solver/dynamics/plate_motion.hpp"
#include "solver/dynamics/striker_motion.hpp"

#include <optional>
#include <variant>
#include <vector>

namespace cellgrade {

struct DynamicsSettings {
    double step_safety = 0.9;   ///< share of the stable step that is used, in (0, 1)
    double step_cap_s = 0.0;    ///< upper cap of the step [s]; 0: none
    double move_cap_m = 0.0;    ///< most that a node or plate may move in one step [m]; 0: no cap
    double damping_per_s = 0.0; ///< mass-proportional damping alpha [1/s]
    /// Steps between two looks at the elements' stable step: at least the first; twice as many
    /// after a look that found it changed by less than half a per cent, up to the second.
    Index bound_every = 20, bound_at_most = 20;
};

/// A body of beams or solids under central differences: one object owns the state, `step()` is the
/// whole scheme.
///
/// With the loads F_n at hand a step from t_n to t_{n+1} chooses its size, moves nodes, box and
/// plates, closes the ledger of t_n (its kinetic energy is known only now) and finds the loads
/// F_{n+1}. After `start()` a step allocates nothing but in contact searches. Same bits for any
/// thread count.
class BodyDynamics {
public:
    BodyDynamics(std::span<const Vec3> positions, Body body, const DynamicsSettings& settings);

    Index add_group(MotionGroup group) { return motion_.add_group(std::move(group)); }
    void add_load(PointLoad load) { point_loads_.push_back(std::move(load)); }
    /// Velocity at t = 0, up to half a step of acceleration.
    void set_velocity(Index node, const Vec3& velocity, const Vec3& spin = Vec3::Zero()) {
        motion_.set_velocity(node, velocity, spin);
    }
    void set_box(BoxMotion box) { box_ = std::move(box); }
    /// Lets the nodes of a group move with the free edges of the box too (NodeMotion::carry_along);
    /// call after set_box.
    void carry_along(Index group) { motion_.carry_along(group, box_.per_free_length()); }
    void set_self_contact(StrutContact contact) { contact_ = std::move(contact); }
    void set_self_contact(SurfaceContact contact) { contact_ = std::move(contact); }
    /// @return number of the set of plates
    Index add_plates(PlateMotion plates) {
        plates_.push_back(std::move(plates));
        return static_cast<Index>(plates_.size()) - 1;
    }
    /// A free rigid body that strikes; not part of save() and restore().
    void set_striker(StrikerMotion striker) { striker_ = std::move(striker); }
    /// Mass-proportional damping from now on [1/s].
    void set_damping(double alpha_per_s) { settings_.damping_per_s = alpha_per_s; }
    /// The uniform flow that damping refers to from now on: du/dx along each axis and du_x/dz
    /// [1/s].
    void set_damping_flow(const Vec3& stretch_rate, double shear_rate = 0.0) {
        damping_flow_ = stretch_rate;
        damping_shear_ = shear_rate;
    }
    /// Material seconds per solver second for the coming steps; 1 unless inertia is scaled away.
    void set_clock_ratio(double ratio) { clock_ratio_ = ratio; }

    /// Loads and step bound at t = 0; call once after all the above.
    void start();
    /// One step. Throws a run Error for an overturned element or a value that is not finite.
    void step();

    [[nodiscard]] double time() const { return clock_.time; }
    [[nodiscard]] double material_time() const { return clock_.material_time; }
    [[nodiscard]] double last_step() const { return clock_.dt; }
    /// Largest stable step of the last look, before the safety factor [s].
    [[nodiscard]] double stable_step() const;
    [[nodiscard]] Index steps() const { return clock_.steps; }

    [[nodiscard]] const NodeMotion& motion() const { return motion_; }
    [[nodiscard]] const BoxMotion& box() const { return box_; }
    /// Generalised force -dU/dL on the box lengths at the last time [N].
    [[nodiscard]] const Vec3& box_load() const { return box_load_; }
    [[nodiscard]] const PlateMotion& plates(Index set) const { return plates_[set]; }
    [[nodiscard]] const std::optional<StrikerMotion>& striker() const { return striker_; }
    [[nodiscard]] const Body& body() const { return body_; }
    [[nodiscard]] const StrutContact* strut_contact() const {
        return std::get_if<StrutContact>(&contact_);
    }
    [[nodiscard]] const SurfaceContact* surface_contact() const {
        return std::get_if<SurfaceContact>(&contact_);
    }
    /// Deepest penetration at the last time / smaller radius, self-contact, plates, striker [-].
    [[nodiscard]] double penetration_share() const;

    /// Asks the coming step to evaluate element energies at its end; after one more step `ledger()`
    /// tells the energies of that time.
    void want_energies() { energies_wanted_ = true; }
    /// Energies of the last time but one, t_n of the last step; valid if energies were wanted for
    /// it.
    [[nodiscard]] const EnergyLedger& ledger() const { return ledger_; }

    /// What a resumed run needs for the same bits.
    struct Clock {
        double time = 0.0, material_time = 0.0, dt = 0.0, omega = 0.0, body_omega = 0.0;
        double fastest = 0.0;               ///< node or plate of the last step [m/s]
        double contact_omega_squared = 0.0; ///< of contact and plates at the last time [1/s^2]
        double work_half = 0.0, damping_half = 0.0, friction = 0.0;
        Index steps = 0;
        Index next_look = 0, looks_apart = 0; ///< steps
    };
    struct State {
        Clock clock;
        NodeMotion::State nodes;
        BoxMotion::State box;
        std::vector<PlateMotion::State> plates;
        std::optional<ContactState> contact;
        std::vector<double> body;
        std::vector<NodeLoad> load;
        Vec3 box_load = Vec3::Zero();
        EnergyLedger parts; ///< stored, viscous, contact at the last time
        EnergyLedger ledger;
    };
    [[nodiscard]] State save() const;
    void restore(const State& state);

private:
    [[nodiscard]] StepTimes choose_step();
    [[nodiscard]] MotionSums move(const StepTimes& times);
    void close_ledger(const MotionSums& sums);
    void find_loads();
    void add_point_loads();
    [[nodiscard]] double point_load_power() const;
    void look_at_bound();
    void look_at_elements();
    [[nodiscard]] const ContactReport* contact_report() const;

    Body body_;
    NodeMotion motion_;
    BoxMotion box_;
    std::variant<std::monostate, StrutContact, SurfaceContact> contact_;
    std::vector<PlateMotion> plates_;
    std::optional<StrikerMotion> striker_;
    std::vector<PointLoad> point_loads_;
    std::vector<NodeLoad> load_;
    Vec3 box_load_ = Vec3::Zero();
    DynamicsSettings settings_;
    Clock clock_;
    double clock_ratio_ = 1.0;
    Vec3 damping_flow_ = Vec3::Zero();
    double damping_shear_ = 0.0;
    bool energies_wanted_ = true;
    EnergyLedger parts_;  ///< stored, viscous, contact and friction at the last time
    EnergyLedger ledger_; ///< complete, one step earlier
};

} // namespace cellgrade
