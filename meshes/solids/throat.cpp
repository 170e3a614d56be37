// SPDX-License-Identifier: Apache-2.0
#include "meshes/solids/throat.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {
namespace {

constexpr double least_share = 0.01; ///< of the phase

class Chambers {
public:
    Chambers(const SurfaceDistance& grid, const std::vector<double>& radii, Phase phase)
        : grid_(grid), radii_(radii), wanted_(phase == Phase::Solid ? 1 : 0), nodes_(radii.size()) {
    }

    std::optional<NarrowPlace> run() {
        std::vector<Index> order;
        for (std::size_t b = 0; b < nodes_.size(); ++b)
            if (grid_.is_solid[b] == wanted_)
                order.push_back(static_cast<Index>(b));
        std::sort(order.begin(), order.end(), [this](Index a, Index b) {
            return radii_[a] != radii_[b] ? radii_[a] > radii_[b] : a < b;
        });
        for (const Index b : order)
            add(b, radii_[b]);
        for (const Index b : order)
            if (const Node& root = nodes_[b];
                root.parent == b && root.has_exit &&
                root.n_boxes > least_share * static_cast<double>(order.size()))
                offer(root.widest, root.widest_at);
        return found_;
    }

private:
    /// A tree of boxes; `image` is the periodic image relative to the parent.
    struct Node {
        Index parent = no_index;
        Vec3i image = Vec3i::Zero();
        bool has_exit = false;
        Index n_boxes = 0;
        double widest = 0.0; ///< largest distance [m]
        Index widest_at = no_index;
    };

    void add(Index b, double d) {
        const Vec3i n = grid_.counts;
        const Vec3i at = grid_.place(static_cast<std::size_t>(b));
        bool on_face = false;
        for (int a = 0; a < 3; ++a)
            on_face |= !grid_.periodic[a] && (at[a] == 0 || at[a] == n[a] - 1);
        nodes_[b] = {.parent = b, .has_exit = on_face, .n_boxes = 1, .widest = d, .widest_at = b};
        for (int z = -1; z <= 1; ++z)
            for (int y = -1; y <= 1; ++y)
                for (int x = -1; x <= 1; ++x) {
                    Vec3i turn;
                    const std::int64_t other = neighbour_box(grid_, at, Vec3i(x, y, z), turn);
                    if (other >= 0 && other != b && nodes_[other].parent != no_index)
                        join(b, static_cast<Index>(other), turn, d);
                }
    }

    /// Root of a box; the image of the box relative to it is left in nodes_[b].image.
    Index root_of(Index b) {
        Index root = b;
        Vec3i image = Vec3i::Zero();
        while (nodes_[root].parent != root) {
            image += nodes_[root].image;
            root = nodes_[root].parent;
        }
        while (nodes_[b].parent != root && b != root) { // flatten the path
            const Index next = nodes_[b].parent;
            const Vec3i step = nodes_[b].image;
            nodes_[b].parent = root;
            nodes_[b].image = image;
            image -= step;
            b = next;
        }
        return root;
    }

    void join(Index b, Index other, const Vec3i& turn, double d) {
        const Index i = root_of(b);
        const Index j = root_of(other);
        const Vec3i image_b = b == i ? Vec3i(Vec3i::Zero()) : nodes_[b].image;
        const Vec3i image_other = other == j ? Vec3i(Vec3i::Zero()) : nodes_[other].image;
        const Vec3i difference = image_b + turn - image_other; // of root j from root i
        if (i == j) {
            if (!difference.isZero())
                open(i, b, d);
            return;
        }
        if (nodes_[i].has_exit != nodes_[j].has_exit)
            open(nodes_[i].has_exit ? j : i, b, d);
        const bool i_stays = nodes_[i].n_boxes >= nodes_[j].n_boxes;
        const Index stays = i_stays ? i : j;
        const Index goes = i_stays ? j : i;
        nodes_[goes].parent = stays;
        nodes_[goes].image = i_stays ? difference : Vec3i(-difference);
        nodes_[stays].n_boxes += nodes_[goes].n_boxes;
        if (nodes_[goes].widest > nodes_[stays].widest) {
            nodes_[stays].widest = nodes_[goes].widest;
            nodes_[stays].widest_at = nodes_[goes].widest_at;
        }
    }

    void open(Index root, Index at, double d) {
        Node& chamber = nodes_[root];
        if (chamber.has_exit)
            return;
        chamber.has_exit = true;
        if (chamber.widest - d > grid_.spacing.maxCoeff())
            offer(d, at);
    }

    void offer(double d, Index at) {
        if (!found_ || 2.0 * d < found_->width)
            found_ = {2.0 * d, grid_.middle(at)};
    }

    const SurfaceDistance& grid_;
    const std::vector<double>& radii_;
    std::uint8_t wanted_;
    std::vector<Node> nodes_;
    std::optional<NarrowPlace> found_;
};

} // namespace

std::optional<NarrowPlace>
narrowest_throat(const SurfaceDistance& grid, const std::vector<double>& radii, Phase phase) {
    return Chambers(grid, radii, phase).run();
}

} // namespace cellgrade
