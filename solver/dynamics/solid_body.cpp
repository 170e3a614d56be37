// SPDX-License-Identifier: Apache-2.0
#include "solver/dynamics/solid_body.hpp"

#include "solver/core/error.hpp"
#include "solver/core/sums.hpp"
#include "solver/elements/tet_forces.hpp"
#include "solver/elements/tet_stable_step.hpp"
#include "solver/elements/thread_count.hpp"

#include <algorithm>
#include <cstddef>
#include <cstring>

namespace cellgrade {

SolidBody::SolidBody(const TetMesh& mesh, TetBlock block, TetMass mass)
    : block_(std::move(block)), mass_(std::move(mass)), tiles_(make_tet_tiles(mesh)),
      copies_(mesh.copies), force_(mesh.nodes.size()), x_(mesh.nodes.size()),
      rest_(rest_positions(mesh)) {}

void SolidBody::take_positions(std::span<const NodePose> pose, const Vec3& box) const {
    const auto n = static_cast<Index>(pose.size());
#pragma omp parallel for schedule(static) if (n > small_job)
    for (Index i = 0; i < n; ++i)
        x_[i] = {pose[i].x, pose[i].y, pose[i].z, 0.0};
    place_copies(copies_, box, x_);
}

void SolidBody::find_loads(std::span<const NodePose> pose,
                           const Vec3& box,
                           const BodyStep& step,
                           bool with_energy,
                           std::span<NodeLoad> load,
                           Vec3& box_load) {
    take_positions(pose, box);
    block_.clock_ratio = step.solver_dt > 0.0 ? step.material_dt / step.solver_dt : 1.0;
    const Index bad = tet_node_forces(block_, tiles_, x_, step.solver_dt, force_,
                                      with_energy ? WithEnergy::Yes : WithEnergy::No);
    if (bad != no_index)
        fail(bad);
    box_load = fold_copies(copies_, force_);
    const auto n = static_cast<Index>(load.size());
#pragma omp parallel for schedule(static) if (n > small_job)
    for (Index i = 0; i < n; ++i)
        load[i] = {force_[i].x, force_[i].y, force_[i].z, 0.0, 0.0, 0.0, 0.0, 0.0};
    if (block_.remembers())
        add_work(box, box_load);
}

double SolidBody::node_work() {
    const auto n = static_cast<Index>(x_.size());
    const Index n_chunks = (n + work_chunk - 1) / work_chunk;
    work_parts_.resize(static_cast<std::size_t>(n_chunks));
#pragma omp parallel for schedule(static) if (n > small_job)
    for (Index c = 0; c < n_chunks; ++c) {
        double sum = 0.0;
        for (Index i = c * work_chunk; i < std::min(n, (c + 1) * work_chunk); ++i) {
            const NodeForce &f = force_[i], &g = work_.force[i];
            const NodePoint &x = x_[i], &y = work_.x[i];
            sum -= 0.5 * ((f.x + g.x) * (x.x - y.x) + (f.y + g.y) * (x.y - y.y) +
                          (f.z + g.z) * (x.z - y.z));
        }
        work_parts_[c] = sum;
    }
    return ordered_sum(work_parts_);
}

/// Work on the elements from the last call to this one: minus that of their forces.
void SolidBody::add_work(const Vec3& box, const Vec3& box_load) {
    if (work_.started)
        work_.done += node_work() - 0.5 * (box_load + work_.box_load).dot(box - work_.box);
    work_.x.resize(x_.size());
    work_.force.resize(force_.size());
    work_.x.swap(x_); // both are overwritten by the next call
    work_.force.swap(force_);
    work_.box = box;
    work_.box_load = box_load;
    work_.started = true;
}

void SolidBody::fail(Index element) const {
    Vec3 place = Vec3::Zero();
    const TetGroup& group = block_.groups[element / group_lanes];
    for (int a = 0; a < 4; ++a) {
        const NodePoint& x = rest_[group.nodes[a][element % group_lanes]];
        place += 0.25 * Vec3(x.x, x.y, x.z);
    }
    throw run_error(
        "element {} at ({:.4g}, {:.4g}, {:.4g}) mm of the undeformed specimen is turned "
        "inside out, crushed past its closed voids or not finite; try smaller elements "
        "or stop at a lower strain",
        element, 1e3 * place.x(), 1e3 * place.y(), 1e3 * place.z());
}

double SolidBody::stored() const {
    return tet_energies(block_).stored;
}

double SolidBody::dissipated() const {
    const TetEnergies energies = tet_energies(block_);
    return !block_.remembers() ? energies.dissipated : work_.done - energies.stored;
}

double SolidBody::stable_omega() const {
    return tet_stable_omega(block_, mass_, rest_);
}

StretchExtent SolidBody::stretches(std::span<const NodePose> pose,
                                   const Vec3& box,
                                   const StretchLimits& limits) const {
    take_positions(pose, box);
    return stretch_extent(block_, x_, limits);
}

double SolidBody::stable_omega(std::span<const NodePose> pose, const Vec3& box) const {
    take_positions(pose, box);
    return tet_stable_omega(block_, mass_, x_);
}

void SolidBody::element_fields(std::vector<double>& stored_J) const {
    stored_J.resize(static_cast<std::size_t>(block_.n_elements));
    element_energies(block_, stored_J);
}

void SolidBody::place_copies_of(std::vector<Vec3>& positions, const Vec3& box) const {
    for (const NodeCopy& copy : copies_)
        positions[copy.node] =
            positions[copy.original] + copy.image.cast<double>().cwiseProduct(box);
}

namespace {

template <class Block, class Visit>
void visit_history(Block& block, Visit visit) {
    for (auto& lanes : block.history)
        visit(lanes);
    for (auto& v : block.viscosity) {
        visit(v.volume);
        visit(v.mean_stress);
        visit(v.dissipated);
    }
    for (auto& lanes : block.stored)
        visit(lanes);
}

} // namespace

std::vector<double> SolidBody::save() const {
    std::vector<double> history;
    visit_history(block_, [&](const Lanes& lanes) {
        history.insert(history.end(), lanes.begin(), lanes.end());
    });
    if (!block_.remembers())
        return history;
    for (std::size_t i = 0; i < x_.size() && work_.started; ++i)
        history.insert(history.end(), {work_.x[i].x, work_.x[i].y, work_.x[i].z, work_.force[i].x,
                                       work_.force[i].y, work_.force[i].z});
    for (const Vec3& v : {work_.box, work_.box_load})
        history.insert(history.end(), v.begin(), v.end());
    history.push_back(work_.done);
    return history;
}

void SolidBody::restore(std::span<const double> history) {
    std::size_t at = 0;
    const auto next = [&] {
        CELLGRADE_CHECK(at < history.size(),
                        "saved element history has {} numbers, more are needed", history.size());
        return history[at++];
    };
    visit_history(block_, [&](Lanes& lanes) {
        for (double& value : lanes)
            value = next();
    });
    if (block_.remembers()) {
        work_.x.resize(x_.size());
        work_.force.resize(x_.size());
        for (std::size_t i = 0; i < x_.size(); ++i) {
            const double x = next(), y = next(), z = next();
            work_.x[i] = {x, y, z, 0.0};
            work_.force[i].x = next();
            work_.force[i].y = next();
            work_.force[i].z = next();
        }
        for (Vec3* v : {&work_.box, &work_.box_load})
            for (double& value : *v)
                value = next();
        work_.done = next();
        work_.started = true;
    }
    CELLGRADE_CHECK(at == history.size(), "saved element history has {} numbers, {} are needed",
                    history.size(), at);
}

} // namespace cellgrade
