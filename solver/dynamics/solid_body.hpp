// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/tets/tet_mesh.hpp"
#include "solver/dynamics/body_step.hpp"
#include "solver/elements/node_arrays.hpp"
#include "solver/elements/stretch_extent.hpp"
#include "solver/elements/tet_block.hpp"
#include "solver/elements/tet_mass.hpp"
#include "solver/elements/tet_tiles.hpp"

#include <span>
#include <vector>

namespace cellgrade {

/// The deformable part of a body of tetrahedra: element block, tiles and mass.
///
/// Periodic copies carry no mass and no load of their own: their elements' forces go to the
/// originals, whatever stands in `pose` for them.
///
/// Energy: for an elastic law the elements tell what they store and what bulk viscosity takes. With
/// Prony terms or damage the dissipated energy is the work of the node forces less what is stored;
/// that work is summed by the trapezoidal rule over every step.
class SolidBody {
public:
    SolidBody(const TetMesh& mesh, TetBlock block, TetMass mass);

    /// Element loads gathered to the nodes (overwrites `load`); `box_load` gets -dU/dL through the
    /// periodic sides. Throws a run Error naming the first inverted element and its place.
    void find_loads(std::span<const NodePose> pose,
                    const Vec3& box,
                    const BodyStep& step,
                    bool with_energy,
                    std::span<NodeLoad> load,
                    Vec3& box_load);

    [[nodiscard]] double stored() const;       ///< at the last call with energies [J]
    [[nodiscard]] double dissipated() const;   ///< since the start [J]
    [[nodiscard]] double stable_omega() const; ///< bound of the largest frequency at rest [rad/s]
    /// The same as the elements lie in these poses [rad/s].
    [[nodiscard]] double stable_omega(std::span<const NodePose> pose, const Vec3& box) const;
    [[nodiscard]] const TetMass& mass() const { return mass_; }
    [[nodiscard]] StretchExtent
    stretches(std::span<const NodePose> pose, const Vec3& box, const StretchLimits& limits) const;
    [[nodiscard]] Index n_elements() const { return block_.n_elements; }
    /// Stored energy of each element, for frames.
    void element_fields(std::vector<double>& stored_J) const;
    /// Puts periodic copies in their places.
    void place_copies_of(std::vector<Vec3>& positions, const Vec3& box) const;

    [[nodiscard]] std::vector<double> save() const;
    void restore(std::span<const double> history);

private:
    void take_positions(std::span<const NodePose> pose, const Vec3& box) const;
    [[nodiscard]] double node_work();
    void add_work(const Vec3& box, const Vec3& box_load);
    [[noreturn]] void fail(Index element) const;

    TetBlock block_;
    TetMass mass_;
    TetTiles tiles_;
    std::vector<NodeCopy> copies_;
    std::vector<NodeForce> force_;
    mutable std::vector<NodePoint> x_; ///< work space of take_positions()
    std::vector<NodePoint> rest_;

    /// For the work of the node forces; used with Prony terms or damage only.
    struct Work {
        std::vector<NodePoint> x;     ///< of the last call
        std::vector<NodeForce> force; ///< of the last call
        Vec3 box = Vec3::Zero(), box_load = Vec3::Zero();
        double done = 0.0; ///< on the elements since the start [J]
        bool started = false;
    } work_;
    std::vector<double> work_parts_;
    static constexpr Index work_chunk = 256; ///< fixed, so that the sum keeps its bits
};

} // namespace cellgrade
