// SPDX-License-Identifier: Apache-2.0
// The parts of StrutContact outside the step: construction, pair list, checkpoint.
#include "solver/contact/strut_contact.hpp"

#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>

namespace cellgrade {

namespace {

void check_mesh(const BeamMesh& mesh, std::span<const double> node_mass) {
    const auto n_nodes = static_cast<Index>(mesh.nodes.size());
    CELLGRADE_CHECK(node_mass.size() == mesh.nodes.size(),
                    "contact: {} node masses for {} nodes; give one a node", node_mass.size(),
                    mesh.nodes.size());
    for (std::size_t i = 0; i < node_mass.size(); ++i)
        CELLGRADE_CHECK(node_mass[i] > 0.0 && std::isfinite(node_mass[i]),
                        "contact: mass of node {} is {} kg; it must be finite and > 0", i,
                        node_mass[i]);
    for (int i = 0; i < 3; ++i)
        CELLGRADE_CHECK(!mesh.periodic[i] || (mesh.box[i] > 0.0 && std::isfinite(mesh.box[i])),
                        "contact: box length {} along periodic axis {}; it must be > 0",
                        mesh.box[i], i);
    for (std::size_t e = 0; e < mesh.elements.size(); ++e) {
        const BeamElement& beam = mesh.elements[e];
        CELLGRADE_CHECK(beam.a >= 0 && beam.a < n_nodes && beam.b >= 0 && beam.b < n_nodes,
                        "contact: element {} joins nodes {} and {}; there are {} nodes", e, beam.a,
                        beam.b, n_nodes);
        CELLGRADE_CHECK(beam.radius > 0.0 && std::isfinite(beam.radius),
                        "contact: radius of element {} is {} m; it must be finite and > 0", e,
                        beam.radius);
        for (int i = 0; i < 3; ++i)
            CELLGRADE_CHECK(mesh.periodic[i] || beam.image_b[i] == 0,
                            "contact: element {} ends {} boxes away along axis {}, which is not "
                            "periodic",
                            e, beam.image_b[i], i);
    }
}

} // namespace

StrutContact::StrutContact(const BeamMesh& mesh,
                           std::span<const double> node_mass,
                           const ContactSettings& settings)
    : settings_(settings), periodic_(mesh.periodic),
      node_mass_(node_mass.begin(), node_mass.end()) {
    settings.check();
    check_mesh(mesh, node_mass);
    set_up_elements(mesh);

    const std::size_t n_elements = elements_.size();
    capsules_.resize(n_elements);
    element_touching_.assign(n_elements, 0);
    end_loads_.resize(2 * n_elements);
    node_parts_.assign((mesh.nodes.size() + node_chunk - 1) / node_chunk, 0.0);
    std::vector<NodePose> pose(mesh.nodes.size());
    for (std::size_t i = 0; i < pose.size(); ++i)
        pose[i] = {.x = mesh.nodes[i].x(), .y = mesh.nodes[i].y(), .z = mesh.nodes[i].z()};
    place_capsules(pose, mesh.box);
    for (std::size_t e = 0; e < n_elements; ++e) {
        elements_[e].reference_length = capsules_[e].along().norm();
        capsules_[e].reference_length = elements_[e].reference_length;
        CELLGRADE_CHECK(elements_[e].reference_length > 0.0 &&
                            std::isfinite(elements_[e].reference_length),
                        "contact: element {} has length {} m; it must be finite and > 0", e,
                        elements_[e].reference_length);
    }
    const SearchSpace space{
        .box = mesh.box, .periodic = periodic_, .regularisation = settings_.regularisation};
    exclusion_ = net_exclusion(mesh, capsules_, space, settings_.reference_gap_share);
    last_box_ = mesh.box;
    rebuild(pose, mesh.box);
    report_.n_rebuilds = 0;
}

void StrutContact::set_up_elements(const BeamMesh& mesh) {
    // Stiffness of an element: Hertz-like, or what the step budget leaves to its lighter node.
    const double per_mass = settings_.omega_squared_room() /
                            (2.0 * settings_.design_contacts * Penalty::slope(Penalty::design_u));
    std::size_t n_bound = 0;
    node_begin_.assign(mesh.nodes.size() + 1, 0);
    for (const BeamElement& beam : mesh.elements) {
        const double physical = settings_.physical_stiffness(beam.radius);
        const double budget = per_mass * std::min(node_mass_[beam.a], node_mass_[beam.b]);
        n_bound += budget < physical ? 1 : 0;
        elements_.push_back({.a = beam.a,
                             .b = beam.b,
                             .image_b = beam.image_b,
                             .radius = beam.radius,
                             .stiffness = std::min(physical, budget)});
        smallest_radius_ =
            elements_.size() == 1 ? beam.radius : std::min(smallest_radius_, beam.radius);
        largest_radius_ = std::max(largest_radius_, beam.radius);
        ++node_begin_[beam.a + 1];
        ++node_begin_[beam.b + 1];
    }
    if (!elements_.empty())
        budget_bound_share_ = static_cast<double>(n_bound) / static_cast<double>(elements_.size());
    margin_ = settings_.search_margin_share * largest_radius_;
    for (std::size_t i = 0; i < mesh.nodes.size(); ++i)
        node_begin_[i + 1] += node_begin_[i];
    node_ends_.resize(2 * elements_.size());
    std::vector<Index> next(node_begin_.begin(), node_begin_.end() - 1);
    for (std::size_t e = 0; e < elements_.size(); ++e) {
        node_ends_[next[elements_[e].a]++] = static_cast<Index>(2 * e);
        node_ends_[next[elements_[e].b]++] = static_cast<Index>(2 * e + 1);
    }
}

// Let x = S x_built + u with S the stretch of the box, |S - I| = e. An unlisted pair had
// D >= r + margin, now D >= (1 - e)(r + margin) - 2 max|u|, so it is out of touch while
// 2 max|u| + e (r + margin) <= margin. Affine motion of the sides thus costs few rebuilds.
double StrutContact::moved_since_build(std::span<const NodePose> pose, const Vec3& box) const {
    Vec3 stretch = Vec3::Ones();
    double most_strain = 0.0;
    for (int i = 0; i < 3; ++i) {
        if (periodic_[i])
            stretch[i] = box[i] / built_box_[i];
        most_strain = std::max(most_strain, std::abs(stretch[i] - 1.0));
    }
    const Index n_nodes = static_cast<Index>(pose.size());
    double most = 0.0;
    Index not_finite = no_index;
#pragma omp parallel for schedule(static) reduction(max                                            \
                                                    : most)                                        \
    reduction(min                                                                                  \
              : not_finite) if (n_nodes > small_net)
    for (Index i = 0; i < n_nodes; ++i) {
        const Vec3& built = built_x_[i];
        const double x = pose[i].x - stretch.x() * built.x();
        const double y = pose[i].y - stretch.y() * built.y();
        const double z = pose[i].z - stretch.z() * built.z();
        const double moved = x * x + y * y + z * z;
        if (!std::isfinite(moved))
            not_finite = std::min(not_finite, i);
        most = std::max(most, moved);
    }
    if (not_finite != no_index)
        throw run_error("contact: the position of node {} is not finite", not_finite);
    return std::sqrt(most) + 0.5 * most_strain * (2.0 * largest_radius_ + margin_);
}

void StrutContact::rebuild(std::span<const NodePose> pose, const Vec3& box) {
    for (int i = 0; i < 3; ++i)
        if (periodic_[i] && !(box[i] > 0.0 && std::isfinite(box[i])))
            throw run_error("contact: box length {} m along periodic axis {}; it must be > 0",
                            box[i], i);
    built_box_ = box;
    built_x_.resize(pose.size());
    for (std::size_t i = 0; i < pose.size(); ++i)
        built_x_[i] = {pose[i].x, pose[i].y, pose[i].z};
    place_capsules(pose, box);
    build_list();
    ++report_.n_rebuilds;
}

// From capsules_ as they are at the build; springs stay with their pairs.
void StrutContact::build_list() {
    const std::vector<PairKey> old_pairs = std::move(pairs_);
    const std::vector<Vec3> old_springs = std::move(springs_);
    const SearchSpace space{.box = built_box_,
                            .periodic = periodic_,
                            .margin = margin_,
                            .regularisation = settings_.regularisation};
    const std::vector<PairKey> close = find_close_pairs(capsules_, space);
    pairs_.clear();
    pairs_.reserve(close.size());
    std::set_difference(close.begin(), close.end(), exclusion_.pairs.begin(),
                        exclusion_.pairs.end(), std::back_inserter(pairs_));
    // A pair in touch one step ago is still nearer than the margin, so no live spring is lost.
    springs_.assign(pairs_.size(), Vec3::Zero());
    for (std::size_t k = 0, old = 0; k < pairs_.size(); ++k) {
        while (old < old_pairs.size() && old_pairs[old] < pairs_[k])
            ++old;
        if (old < old_pairs.size() && old_pairs[old] == pairs_[k])
            springs_[k] = old_springs[old];
    }
    list_uses();
    pair_loads_.resize(pairs_.size());
    touching_.assign(pairs_.size(), 0);
    parts_.resize((pairs_.size() + pair_chunk - 1) / pair_chunk);
}

void StrutContact::list_uses() {
    use_begin_.assign(elements_.size() + 1, 0);
    for (const PairKey& key : pairs_) {
        ++use_begin_[key.first + 1];
        ++use_begin_[key.second + 1];
    }
    for (std::size_t e = 0; e < elements_.size(); ++e)
        use_begin_[e + 1] += use_begin_[e];
    use_pairs_.resize(2 * pairs_.size());
    std::vector<Index> next(use_begin_.begin(), use_begin_.end() - 1);
    for (std::size_t k = 0; k < pairs_.size(); ++k) {
        use_pairs_[next[pairs_[k].first]++] = static_cast<Index>(2 * k);
        use_pairs_[next[pairs_[k].second]++] = static_cast<Index>(2 * k + 1);
    }
}

ContactState StrutContact::save() const {
    ContactState state;
    for (const Vec3& x : built_x_)
        state.built_x.insert(state.built_x.end(), {x.x(), x.y(), x.z()});
    for (int i = 0; i < 3; ++i) {
        state.built_box[i] = built_box_[i];
        state.last_box[i] = last_box_[i];
    }
    state.add_springs(pairs_, springs_);
    state.n_rebuilds = report_.n_rebuilds;
    return state;
}

void StrutContact::restore(const ContactState& state) {
    const std::size_t n_springs = state.springs.size() / 3;
    CELLGRADE_CHECK(state.built_x.size() == 3 * node_mass_.size(),
                    "contact checkpoint: {} coordinates for {} nodes", state.built_x.size(),
                    node_mass_.size());
    CELLGRADE_CHECK(state.springs.size() == 3 * n_springs &&
                        state.spring_keys.size() == 5 * n_springs,
                    "contact checkpoint: {} spring keys and {} spring components do not fit",
                    state.spring_keys.size(), state.springs.size());
    std::vector<NodePose> pose(node_mass_.size());
    for (std::size_t i = 0; i < pose.size(); ++i)
        pose[i] = {.x = state.built_x[3 * i],
                   .y = state.built_x[3 * i + 1],
                   .z = state.built_x[3 * i + 2]};
    std::vector<PairKey> keys(n_springs);
    std::vector<Vec3> springs(n_springs);
    for (std::size_t k = 0; k < n_springs; ++k) {
        const Index* key = &state.spring_keys[5 * k];
        keys[k] = {key[0], key[1], {key[2], key[3], key[4]}};
        springs[k] = Vec3(&state.springs[3 * k]);
    }
    rebuild(pose, Vec3(state.built_box.data()));
    for (const PairKey& key : keys)
        CELLGRADE_CHECK(std::binary_search(pairs_.begin(), pairs_.end(), key),
                        "contact checkpoint: elements {} and {} hold a spring but are not near",
                        key.first, key.second);
    springs_.assign(pairs_.size(), Vec3::Zero());
    for (std::size_t k = 0; k < keys.size(); ++k)
        springs_[std::lower_bound(pairs_.begin(), pairs_.end(), keys[k]) - pairs_.begin()] =
            springs[k];
    last_box_ = Vec3(state.last_box.data());
    report_.n_rebuilds = state.n_rebuilds;
}

} // namespace cellgrade
