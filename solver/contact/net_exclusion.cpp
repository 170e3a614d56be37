// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/net_exclusion.hpp"

#include "solver/contact/segment_distance.hpp"

#include <algorithm>
#include <numbers>

namespace cellgrade {

namespace {

// A copy of something, moved by whole boxes.
struct Copy {
    Index id = no_index;
    Vec3i image = Vec3i::Zero();
    double path = 0.0; // along the net [m]
};

class Net {
public:
    explicit Net(const BeamMesh& mesh) : mesh_(mesh), begin_(mesh.nodes.size() + 1, 0) {
        for (const BeamElement& element : mesh.elements)
            for (const Index node : {element.a, element.b})
                ++begin_[node + 1];
        for (std::size_t i = 0; i < mesh.nodes.size(); ++i)
            begin_[i + 1] += begin_[i];
        ends_.resize(2 * mesh.elements.size());
        std::vector<Index> next(begin_.begin(), begin_.end() - 1);
        for (std::size_t e = 0; e < mesh.elements.size(); ++e) {
            ends_[next[mesh.elements[e].a]++] = static_cast<Index>(2 * e);
            ends_[next[mesh.elements[e].b]++] = static_cast<Index>(2 * e + 1);
        }
    }

    // Calls visit(element copy, its end) for every element that meets the copy of the node.
    template <class Visit>
    void around(const Copy& node, Visit&& visit) const {
        for (Index k = begin_[node.id]; k < begin_[node.id + 1]; ++k) {
            const Index e = ends_[k] / 2, end = ends_[k] % 2;
            const Vec3i at = end == 0 ? Vec3i::Zero() : mesh_.elements[e].image_b;
            visit(Copy{e, node.image - at, node.path}, end);
        }
    }
    [[nodiscard]] Copy end_of(const Copy& element, Index end) const {
        const BeamElement& beam = mesh_.elements[element.id];
        return end == 0 ? Copy{beam.a, element.image, element.path}
                        : Copy{beam.b, element.image + beam.image_b, element.path};
    }

private:
    const BeamMesh& mesh_;
    std::vector<Index> begin_, ends_;
};

bool same_place(const Copy& a, const Copy& b) {
    return a.id == b.id && a.image == b.image;
}

// Shortest paths from both ends of an element (Dijkstra, cut off at `reach`); the set is small, so
// plain lists serve.
class PathWalk {
public:
    PathWalk(const Net& net, std::span<const Capsule> capsules) : net_(net), capsules_(capsules) {}

    void walk(Index element, double reach) {
        open_.clear();
        settled_.clear();
        offer(net_.end_of({element}, 0), reach);
        offer(net_.end_of({element}, 1), reach);
        while (!open_.empty()) {
            const auto nearest =
                std::min_element(open_.begin(), open_.end(),
                                 [](const Copy& a, const Copy& b) { return a.path < b.path; });
            const Copy node = *nearest;
            open_.erase(nearest);
            settled_.push_back(node);
            net_.around(node, [&](const Copy& beam, Index end) {
                Copy other = net_.end_of(beam, 1 - end);
                other.path += capsules_[beam.id].reference_length;
                offer(other, reach);
            });
        }
    }
    // In order of growing path.
    [[nodiscard]] std::span<const Copy> reached() const { return settled_; }

private:
    void offer(const Copy& node, double reach) {
        const auto here = [&](const Copy& other) { return same_place(node, other); };
        if (node.path >= reach || std::any_of(settled_.begin(), settled_.end(), here))
            return;
        const auto known = std::find_if(open_.begin(), open_.end(), here);
        if (known == open_.end())
            open_.push_back(node);
        else
            known->path = std::min(known->path, node.path);
    }

    const Net& net_;
    std::span<const Capsule> capsules_;
    std::vector<Copy> open_, settled_;
};

void sort_unique(std::vector<PairKey>& pairs) {
    std::sort(pairs.begin(), pairs.end());
    pairs.erase(std::unique(pairs.begin(), pairs.end()), pairs.end());
}

// Rule 1, and the pairs that share a node, from which rule 2 starts.
void near_along_net(const Net& net,
                    std::span<const Capsule> capsules,
                    std::vector<PairKey>& near,
                    std::vector<PairKey>& sharing) {
    constexpr double half_pi = 0.5 * std::numbers::pi;
    double widest = 0.0;
    for (const Capsule& capsule : capsules)
        widest = std::max(widest, capsule.radius);
    PathWalk paths(net, capsules);
    for (Index e = 0; e < static_cast<Index>(capsules.size()); ++e) {
        paths.walk(e, half_pi * (capsules[e].radius + widest));
        for (const Copy& node : paths.reached())
            net.around(node, [&](const Copy& beam, Index) {
                if (beam.id == e && beam.image == Vec3i::Zero())
                    return;
                const PairKey key = canonical_pair(e, beam.id, beam.image);
                if (node.path < half_pi * (capsules[e].radius + capsules[beam.id].radius))
                    near.push_back(key);
                if (node.path == 0.0)
                    sharing.push_back(key);
            });
    }
    sort_unique(near);
    sort_unique(sharing);
}

// Rule 2: floods the overlapping pairs from those that share a node. `overlaps` is sorted.
std::vector<bool> joint_overlaps(const Net& net,
                                 std::span<const PairKey> overlaps,
                                 std::span<const PairKey> sharing) {
    std::vector<bool> reached(overlaps.size(), false);
    std::vector<PairKey> front(sharing.begin(), sharing.end());
    const auto pass_on = [&](const Copy& a, const Copy& b) {
        const PairKey key = canonical_pair(a.id, b.id, b.image - a.image);
        const auto at = std::lower_bound(overlaps.begin(), overlaps.end(), key);
        if (at == overlaps.end() || *at != key || reached[at - overlaps.begin()])
            return;
        reached[at - overlaps.begin()] = true;
        front.push_back(key);
    };
    while (!front.empty()) {
        const PairKey key = front.back();
        front.pop_back();
        const Copy a{key.first, Vec3i::Zero()};
        const Copy b{key.second, Vec3i(key.shift[0], key.shift[1], key.shift[2])};
        pass_on(a, b);
        for (const Index end : {0, 1}) {
            net.around(net.end_of(a, end), [&](const Copy& next, Index) { pass_on(next, b); });
            net.around(net.end_of(b, end), [&](const Copy& next, Index) { pass_on(a, next); });
        }
    }
    return reached;
}

InitialOverlap
measured(const PairKey& key, std::span<const Capsule> capsules, const SearchSpace& space) {
    const Capsule &a = capsules[key.first], &b = capsules[key.second];
    Vec3 d0 = a.start() - b.start();
    for (int i = 0; i < 3; ++i)
        d0[i] -= key.shift[i] != 0 ? key.shift[i] * space.box[i] : 0.0;
    const ClosestPoints c =
        closest_points(d0, a.along(), b.along(), pair_weight(a, b, space.regularisation));
    return {.first = key.first,
            .second = key.second,
            .shift = key.shift,
            .place = a.start() + c.s * a.along() - 0.5 * c.difference,
            .depth = a.radius + b.radius - c.distance};
}

} // namespace

NetExclusion net_exclusion(const BeamMesh& mesh,
                           std::span<const Capsule> capsules,
                           SearchSpace space,
                           double gap_share) {
    NetExclusion result;
    const Net net(mesh);
    std::vector<PairKey> sharing;
    near_along_net(net, capsules, result.pairs, sharing);

    double widest = 0.0;
    for (const Capsule& capsule : capsules)
        widest = std::max(widest, capsule.radius);
    space.margin = gap_share * 2.0 * widest;
    std::vector<PairKey> overlaps = find_close_pairs(capsules, space);
    std::erase_if(overlaps, [&](const PairKey& key) {
        const double reach = capsules[key.first].radius + capsules[key.second].radius;
        return measured(key, capsules, space).depth <= -gap_share * reach;
    });
    const std::vector<bool> at_joint = joint_overlaps(net, overlaps, sharing);
    const std::size_t n_near = result.pairs.size();
    for (std::size_t k = 0; k < overlaps.size(); ++k) {
        const bool near = std::binary_search(
            result.pairs.begin(), result.pairs.begin() + static_cast<std::ptrdiff_t>(n_near),
            overlaps[k]);
        if (near)
            continue;
        const InitialOverlap overlap = measured(overlaps[k], capsules, space);
        if (!at_joint[k] && overlap.depth > 0.0)
            result.initial_overlaps.push_back(overlap);
        if (at_joint[k] || overlap.depth > 0.0)
            result.pairs.push_back(overlaps[k]);
    }
    sort_unique(result.pairs);
    return result;
}

} // namespace cellgrade
