// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/dynamics/beam_body.hpp"
#include "solver/dynamics/node_inertia.hpp"
#include "solver/dynamics/solid_body.hpp"

#include <span>
#include <utility>
#include <variant>
#include <vector>

namespace cellgrade {

/// What deforms: beams or solids. The kind is looked at once a step, outside every loop; a new kind
/// is one more alternative that offers the same functions.
class Body {
public:
    Body(BeamBody beams) : kind_(std::move(beams)) {}  // NOLINT(google-explicit-constructor)
    Body(SolidBody solid) : kind_(std::move(solid)) {} // NOLINT(google-explicit-constructor)

    void find_loads(std::span<const NodePose> pose,
                    const Vec3& box,
                    const BodyStep& step,
                    bool with_energy,
                    std::span<NodeLoad> load,
                    Vec3& box_load) {
        std::visit([&](auto& b) { b.find_loads(pose, box, step, with_energy, load, box_load); },
                   kind_);
    }
    [[nodiscard]] double stored() const {
        return std::visit([](const auto& b) { return b.stored(); }, kind_);
    }
    [[nodiscard]] double dissipated() const {
        return std::visit([](const auto& b) { return b.dissipated(); }, kind_);
    }
    /// Bound of the largest frequency at rest [rad/s].
    [[nodiscard]] double stable_omega() const {
        return std::visit([](const auto& b) { return b.stable_omega(); }, kind_);
    }
    [[nodiscard]] double stable_omega(std::span<const NodePose> pose, const Vec3& box) const {
        return std::visit([&](const auto& b) { return b.stable_omega(pose, box); }, kind_);
    }
    /// Stretches of the material against limits, as it lies (fibres: at the last find_loads).
    [[nodiscard]] StretchExtent
    stretches(std::span<const NodePose> pose, const Vec3& box, const StretchLimits& limits) const {
        return std::visit([&](const auto& b) { return b.stretches(pose, box, limits); }, kind_);
    }
    [[nodiscard]] Index n_elements() const {
        return std::visit([](const auto& b) { return b.n_elements(); }, kind_);
    }
    [[nodiscard]] std::vector<double> save() const {
        return std::visit([](const auto& b) { return b.save(); }, kind_);
    }
    void restore(std::span<const double> history) {
        std::visit([&](auto& b) { b.restore(history); }, kind_);
    }

    [[nodiscard]] std::vector<NodeInertia> node_inertia() const;
    [[nodiscard]] const std::vector<double>& node_mass() const; ///< one a node [kg]
    [[nodiscard]] double total_mass() const; ///< without what was added for the step [kg]
    /// Inertia added for the step over the physical one: rotary of beams, mass of solids [-].
    [[nodiscard]] double added_inertia() const;

    [[nodiscard]] const BeamBody* beams() const { return std::get_if<BeamBody>(&kind_); }
    [[nodiscard]] const SolidBody* solid() const { return std::get_if<SolidBody>(&kind_); }

private:
    std::variant<BeamBody, SolidBody> kind_;
};

} // namespace cellgrade
