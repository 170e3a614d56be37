// SPDX-License-Identifier: Apache-2.0
#include "solver/dynamics/beam_body.hpp"

#include "solver/core/error.hpp"
#include "solver/elements/beam_forces.hpp"
#include "solver/elements/beam_stable_step.hpp"

#include <algorithm>
#include <cstddef>

namespace cellgrade {

namespace {

// One overload set per section kind; the alternatives of BeamBody::Block must all be covered.

Index element_loads(BeamBlock& block,
                    std::span<const NodePose> pose,
                    const Vec3& box,
                    const BodyStep& step,
                    std::span<NodeLoad> slots,
                    WithEnergy energy) {
    return beam_forces(block, pose, box, step.solver_dt, slots, energy);
}

Index element_loads(FibreBlock& block,
                    std::span<const NodePose> pose,
                    const Vec3& box,
                    const BodyStep& step,
                    std::span<NodeLoad> slots,
                    WithEnergy energy) {
    block.clock_ratio = step.solver_dt > 0.0 ? step.material_dt / step.solver_dt : 1.0;
    return beam_forces(block, pose, box, step.solver_dt, slots, energy);
}

double omega_of(const BeamBlock& block,
                const LumpedMass& mass,
                std::span<const NodePose> pose,
                const Vec3& box) {
    return beam_stable_omega(block, mass, pose, box);
}
double omega_of(const FibreBlock& block,
                const LumpedMass& mass,
                std::span<const NodePose> /*pose*/,
                const Vec3& /*box*/) {
    return beam_stable_omega(block, mass);
}

const BeamBlock& shape_of(const BeamBlock& block) {
    return block;
}
const BeamBlock& shape_of(const FibreBlock& block) {
    return block.beams;
}

void resultants_of(const BeamBlock& block,
                   std::span<const NodePose> pose,
                   const Vec3& box,
                   std::span<BeamResultants> out) {
    beam_resultants(block, pose, box, out);
}
void resultants_of(const FibreBlock& block,
                   std::span<const NodePose> /*pose*/,
                   const Vec3& /*box*/,
                   std::span<BeamResultants> out) {
    beam_resultants(block, out);
}

// What an element carries from step to step, as flat numbers: `visit` sees every lane array in
// order.

template <class Block, class Visit>
void visit_beam_history(Block& block, Visit visit) {
    for (auto& group : block.groups) {
        visit(group.Gamma1);
        visit(group.viscous_N);
        visit(group.stored);
        visit(group.dissipated);
    }
}

template <class Visit>
void visit_history(BeamBlock& block, Visit visit) {
    visit_beam_history(block, visit);
}

template <class Visit>
void visit_history(FibreBlock& block, Visit visit) {
    visit_beam_history(block.beams, visit);
    for (FibreGroup& group : block.groups) {
        for (auto* vectors : {&group.Gamma, &group.kappa, &group.N, &group.M})
            for (Lanes& lanes : *vectors)
                visit(lanes);
        visit(group.work);
        visit(group.relaxed);
    }
    for (Lanes& lanes : block.history)
        visit(lanes);
}

} // namespace

BeamBody::BeamBody(const BeamMesh& mesh, Block block, LumpedMass mass)
    : block_(std::move(block)), mass_(std::move(mass)) {
    const BeamBlock& shape =
        std::visit([](const auto& b) -> const BeamBlock& { return shape_of(b); }, block_);
    gather_ = make_node_gather(shape);
    slots_.resize(static_cast<std::size_t>(shape.n_slots()));
    for (std::size_t e = 0; e < mesh.elements.size(); ++e)
        if (mesh.elements[e].image_b != Vec3i::Zero())
            crossing_.push_back({static_cast<Index>(e), mesh.elements[e].image_b.cast<double>()});
}

void BeamBody::find_loads(std::span<const NodePose> pose,
                          const Vec3& box,
                          const BodyStep& step,
                          bool with_energy,
                          std::span<NodeLoad> load,
                          Vec3& box_load) {
    const WithEnergy energy = with_energy ? WithEnergy::Yes : WithEnergy::No;
    const Index bad = std::visit(
        [&](auto& block) { return element_loads(block, pose, box, step, slots_, energy); }, block_);
    if (bad != no_index)
        throw run_error("element {} has turned over itself (relative rotation of its ends near 180 "
                        "degrees) or is not finite; try shorter elements or a lower speed",
                        bad);
    gather_loads(gather_, slots_, load);
    box_load = Vec3::Zero();
    for (const Crossing& c : crossing_) {
        const NodeLoad& b = slots_[2 * static_cast<std::size_t>(c.element) + 1];
        box_load += c.image.cwiseProduct(Vec3(b.fx, b.fy, b.fz));
    }
}

double BeamBody::stored() const {
    return std::visit([](const auto& b) { return beam_energies(b).stored; }, block_);
}

double BeamBody::dissipated() const {
    return std::visit([](const auto& b) { return beam_energies(b).dissipated; }, block_);
}

double BeamBody::stable_omega() const {
    return std::visit([&](const auto& b) { return beam_stable_omega(b, mass_); }, block_);
}

/// Sections by resultants know no law, so no limits either.
StretchExtent BeamBody::stretches(std::span<const NodePose> /*pose*/,
                                  const Vec3& /*box*/,
                                  const StretchLimits& limits) const {
    const auto* fibres = std::get_if<FibreBlock>(&block_);
    return fibres != nullptr ? stretch_extent(*fibres, limits) : StretchExtent{};
}

double BeamBody::stable_omega(std::span<const NodePose> pose, const Vec3& box) const {
    return std::visit([&](const auto& b) { return omega_of(b, mass_, pose, box); }, block_);
}

Index BeamBody::n_elements() const {
    return std::visit([](const auto& b) { return shape_of(b).n_elements; }, block_);
}

void BeamBody::element_fields(std::span<const NodePose> pose,
                              const Vec3& box,
                              std::vector<double>& stored_J,
                              std::vector<double>& axial_N) const {
    const std::size_t n = static_cast<std::size_t>(n_elements());
    stored_J.resize(n);
    axial_N.resize(n);
    std::vector<double> dissipated(n);
    std::vector<BeamResultants> resultants(n);
    std::visit(
        [&](const auto& block) {
            element_energies(block, stored_J, dissipated);
            resultants_of(block, pose, box, resultants);
        },
        block_);
    for (std::size_t e = 0; e < n; ++e)
        axial_N[e] = resultants[e].N.x();
}

std::vector<double> BeamBody::save() const {
    std::vector<double> history;
    Block block = block_; // the visitors take a block they may write to
    std::visit(
        [&](auto& b) {
            visit_history(b, [&](const Lanes& lanes) {
                history.insert(history.end(), lanes.begin(), lanes.end());
            });
        },
        block);
    return history;
}

void BeamBody::restore(std::span<const double> history) {
    std::size_t at = 0;
    const auto take = [&](Lanes& lanes) {
        CELLGRADE_CHECK(at + lanes.size() <= history.size(),
                        "saved element history has {} numbers, more are needed", history.size());
        std::copy_n(history.begin() + static_cast<std::ptrdiff_t>(at), lanes.size(), lanes.begin());
        at += lanes.size();
    };
    std::visit([&](auto& block) { visit_history(block, take); }, block_);
    CELLGRADE_CHECK(at == history.size(), "saved element history has {} numbers, {} are needed",
                    history.size(), at);
}

} // namespace cellgrade
