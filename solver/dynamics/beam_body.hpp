// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/dynamics/body_step.hpp"
#include "solver/elements/beam_block.hpp"
#include "solver/elements/fibre_block.hpp"
#include "solver/elements/lumped_mass.hpp"
#include "solver/elements/node_arrays.hpp"
#include "solver/elements/node_gather.hpp"
#include "solver/elements/stretch_extent.hpp"

#include <span>
#include <variant>
#include <vector>

namespace cellgrade {

/// The deformable part of a body: element blocks of one section kind, their mass, slots and gather.
///
/// The section kind is chosen once, outside every loop; a new kind is one more alternative of
/// `Block`.
class BeamBody {
public:
    using Block = std::variant<BeamBlock, FibreBlock>;

    BeamBody(const BeamMesh& mesh, Block block, LumpedMass mass);

    /// Element loads gathered to the nodes (overwrites `load`); `box_load` gets -dU/dL of the
    /// elements that cross a periodic border. Throws a run Error naming the first overturned
    /// element.
    void find_loads(std::span<const NodePose> pose,
                    const Vec3& box,
                    const BodyStep& step,
                    bool with_energy,
                    std::span<NodeLoad> load,
                    Vec3& box_load);

    [[nodiscard]] double stored() const;       ///< at the last call with energies [J]
    [[nodiscard]] double dissipated() const;   ///< since the start [J]
    [[nodiscard]] double stable_omega() const; ///< bound of the largest frequency at rest [rad/s]
    /// The same as the elements lie in these poses (fibres: at the last find_loads) [rad/s].
    [[nodiscard]] double stable_omega(std::span<const NodePose> pose, const Vec3& box) const;
    [[nodiscard]] const LumpedMass& mass() const { return mass_; }
    [[nodiscard]] StretchExtent
    stretches(std::span<const NodePose> pose, const Vec3& box, const StretchLimits& limits) const;
    [[nodiscard]] Index n_elements() const;
    /// Stored energy and axial force of each element, for frames.
    void element_fields(std::span<const NodePose> pose,
                        const Vec3& box,
                        std::vector<double>& stored_J,
                        std::vector<double>& axial_N) const;

    [[nodiscard]] std::vector<double> save() const;
    void restore(std::span<const double> history);

private:
    struct Crossing {
        Index element = no_index;
        Vec3 image = Vec3::Zero();
    };
    Block block_;
    LumpedMass mass_;
    NodeGather gather_;
    std::vector<NodeLoad> slots_;
    std::vector<Crossing> crossing_;
};

} // namespace cellgrade
