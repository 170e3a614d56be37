// SPDX-License-Identifier: Apache-2.0
// The parts of SurfaceContact outside the step: construction, pair list, checkpoint.
#include "solver/contact/surface_contact.hpp"

#include "solver/contact/surface_search.hpp"
#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

SurfaceContact::SurfaceContact(const TetMesh& mesh,
                               std::span<const double> node_mass,
                               const ContactSettings& settings)
    : settings_(settings), surface_(contact_surface(mesh)) {
    settings.check();
    CELLGRADE_CHECK(node_mass.size() == mesh.nodes.size(),
                    "contact: {} node masses for {} nodes; give one a node", node_mass.size(),
                    mesh.nodes.size());
    layer_ = contact_layer(surface_, node_mass, settings);
    for (const VertexLayer& vertex : layer_.vertices)
        thickness_.push_back(vertex.thickness);
    for (const auto& edge : surface_.edges) {
        vertex_edges_.push_back({edge[0].vertex, edge[1].vertex});
        std::sort(vertex_edges_.back().begin(), vertex_edges_.back().end());
    }
    std::sort(vertex_edges_.begin(), vertex_edges_.end());
    most_reach_ = 2.0 * settings_.layer_move_share * layer_.thickest;
    margin_ = settings_.layer_margin_share * layer_.mean_edge;
    x_ = surface_.x;
    for (Part& part : parts_)
        part.loads.assign(x_.size(), VertexLoad{});
    loaded_by_.assign(x_.size(), {});
    points_.resize(x_.size());
    v_.resize(x_.size());
    vertex_parts_.assign((x_.size() + vertex_chunk - 1) / vertex_chunk, 0.0);
    last_box_ = surface_.box;
    rebuild(surface_.box);
    report_.n_rebuilds = 0;
}

void SurfaceContact::rebuild(const Vec3& box) {
    for (int i = 0; i < 3; ++i)
        if (surface_.periodic[i] && !(box[i] > 0.0 && std::isfinite(box[i])))
            throw run_error("contact: box length {} m along periodic axis {}; it must be > 0",
                            box[i], i);
    built_ = built_shape(x_, box);
    const std::vector<PairKey> old_keys = std::move(keys_);
    const std::vector<NodePoint> old_springs = std::move(springs_);
    make_pairs(find_surface_pairs(surface_, x_, thickness_, box, margin_));
    // A pair in touch one step ago is still nearer than the margin, so no live spring is lost.
    springs_.assign(keys_.size(), NodePoint{});
    for (std::size_t k = 0, old = 0; k < keys_.size(); ++k) {
        while (old < old_keys.size() && old_keys[old] < keys_[k])
            ++old;
        if (old < old_keys.size() && old_keys[old] == keys_[k])
            springs_[k] = old_springs[old];
    }
    wakes_.assign(keys_.size(), 0.0);
    ++report_.n_rebuilds;
}

void SurfaceContact::make_pairs(const std::vector<PairKey>& keys) {
    const auto n = static_cast<Index>(keys.size());
    std::vector<SurfacePair> pairs(keys.size());
    std::vector<std::uint8_t> kept(keys.size(), 0);
#pragma omp parallel for schedule(static) if (n > small_job)
    for (Index k = 0; k < n; ++k)
        kept[k] = fit_pair(keys[k], pairs[k]) ? 1 : 0;
    keys_.clear();
    pairs_.clear();
    for (Index k = 0; k < n; ++k) {
        if (kept[k] == 0)
            continue;
        keys_.push_back(keys[k]);
        pairs_.push_back(pairs[k]);
    }
    per_element_.clear();
    for (const SurfacePair& pair : pairs_) {
        double edge = surface_.edge_length[pair.vertex[0]];
        for (const Index v : pair.vertex)
            edge = std::min(edge, surface_.edge_length[v]);
        per_element_.push_back(0.5 / edge); // an element is two edges of its triangles long
    }
    // keys number vertices first, so their pairs with triangles come before those of edges
    n_vertex_pairs_ = static_cast<Index>(
        std::partition_point(pairs_.begin(), pairs_.end(),
                             [](const SurfacePair& pair) {
                                 return pair.kind == SurfacePair::Kind::VertexTriangle;
                             }) -
        pairs_.begin());
}

// Whether an edge of the surface joins the two sides of a pair.
bool SurfaceContact::are_neighbours(const SurfacePair& pair) const {
    const int first_of_q = pair.kind == SurfacePair::Kind::EdgeEdge ? 2 : 1;
    for (int p = 0; p < first_of_q; ++p)
        for (int q = first_of_q; q < 4; ++q) {
            std::array<Index, 2> edge{pair.vertex[p], pair.vertex[q]};
            std::sort(edge.begin(), edge.end());
            if (std::binary_search(vertex_edges_.begin(), vertex_edges_.end(), edge))
                return true;
        }
    return false;
}

// Layer and stiffness of a pair; false where its sides touch in the reference shape. At the tip of
// a notch neighbours are as near as one likes, and edges of a narrow throat may all but cross; a
// layer there would stop the run as the notch closes. What lies behind the tip keeps its sides
// apart, and walls that lie on each other have vertices on faces, which are never let off.
bool SurfaceContact::fit_pair(const PairKey& key, SurfacePair& pair) const {
    pair = surface_pair(surface_, key);
    PairPlaces reference;
    double thickness = layer_.thickest, stiffness = layer_.vertices[pair.vertex[0]].stiffness;
    for (int i = 0; i < 4; ++i) {
        const VertexLayer& vertex = layer_.vertices[pair.vertex[i]];
        reference[i] = pair.place(i, surface_.x, surface_.box);
        thickness = std::min(thickness, vertex.thickness);
        stiffness = std::min(stiffness, vertex.stiffness);
    }
    const double distance = nearest_points(pair.kind, reference).distance;
    pair.layer = std::min(thickness, reference_share * distance);
    // a film as thin as the layer of the pair: it carries at the same share of it what others do
    pair.stiffness = stiffness * pair_share(pair.kind == SurfacePair::Kind::EdgeEdge) *
                     std::min(thickness / pair.layer, thinnest_film);
    const bool may_touch = pair.kind == SurfacePair::Kind::EdgeEdge || are_neighbours(pair);
    return pair.layer > (may_touch ? tip_layer : least_layer) * thickness;
}

ContactState SurfaceContact::save() const {
    ContactState state;
    for (const Vec3& x : built_.x)
        state.built_x.insert(state.built_x.end(), {x.x(), x.y(), x.z()});
    for (int i = 0; i < 3; ++i) {
        state.built_box[i] = built_.box[i];
        state.last_box[i] = last_box_[i];
    }
    std::vector<Vec3> springs;
    for (const NodePoint& spring : springs_)
        springs.emplace_back(spring.x, spring.y, spring.z);
    state.add_springs(keys_, springs);
    state.n_rebuilds = report_.n_rebuilds;
    return state;
}

void SurfaceContact::restore(const ContactState& state) {
    const std::size_t n_springs = state.springs.size() / 3;
    CELLGRADE_CHECK(state.built_x.size() == 3 * x_.size(),
                    "contact checkpoint: {} coordinates for {} surface nodes", state.built_x.size(),
                    x_.size());
    CELLGRADE_CHECK(state.springs.size() == 3 * n_springs &&
                        state.spring_keys.size() == 5 * n_springs,
                    "contact checkpoint: {} spring keys and {} spring components do not fit",
                    state.spring_keys.size(), state.springs.size());
    for (std::size_t v = 0; v < x_.size(); ++v)
        x_[v] = Vec3(&state.built_x[3 * v]);
    rebuild(Vec3(state.built_box.data()));
    springs_.assign(keys_.size(), NodePoint{});
    for (std::size_t k = 0; k < n_springs; ++k) {
        const Index* part = &state.spring_keys[5 * k];
        const PairKey key{part[0], part[1], {part[2], part[3], part[4]}};
        const auto at = std::lower_bound(keys_.begin(), keys_.end(), key);
        CELLGRADE_CHECK(at != keys_.end() && *at == key,
                        "contact checkpoint: primitives {} and {} hold a spring but are not near",
                        key.first, key.second);
        const double* spring = &state.springs[3 * k];
        springs_[at - keys_.begin()] = {.x = spring[0], .y = spring[1], .z = spring[2]};
    }
    last_box_ = Vec3(state.last_box.data());
    report_.n_rebuilds = state.n_rebuilds;
}

} // namespace cellgrade
