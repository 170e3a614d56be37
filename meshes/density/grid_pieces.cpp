// SPDX-License-Identifier: Apache-2.0
#include "meshes/density/grid_pieces.hpp"

#include "solver/core/error.hpp"

namespace cellgrade {
namespace {

constexpr std::array<std::array<int, 3>, 14> steps = {{{1, 0, 0},
                                                       {-1, 0, 0},
                                                       {0, 1, 0},
                                                       {0, -1, 0},
                                                       {0, 0, 1},
                                                       {0, 0, -1},
                                                       {1, 1, 0},
                                                       {-1, -1, 0},
                                                       {1, 0, 1},
                                                       {-1, 0, -1},
                                                       {0, 1, 1},
                                                       {0, -1, -1},
                                                       {1, 1, 1},
                                                       {-1, -1, -1}}};

/// Rank of the whole-number vectors seen so far.
class WindingRank {
public:
    void add(const Vec3i& v) {
        if (rank_ == 0 && !v.isZero())
            basis_[rank_++] = v;
        else if (rank_ == 1 && !basis_[0].cross(v).isZero())
            basis_[rank_++] = v;
        else if (rank_ == 2 && basis_[0].cross(basis_[1]).dot(v) != 0)
            basis_[rank_++] = v;
    }
    int rank() const { return rank_; }

private:
    std::array<Vec3i, 3> basis_;
    int rank_ = 0;
};

class FloodFill {
public:
    FloodFill(const Vec3i& counts,
              const std::array<bool, 3>& periodic,
              std::span<const std::uint8_t> marked,
              Joined joined)
        : counts_(counts), periodic_(periodic), marked_(marked),
          n_steps_(joined == Joined::Faces ? 6 : 14), image_(marked.size(), Vec3i::Zero()) {
        found_.piece_of.assign(marked.size(), no_index);
    }

    GridPieces run() {
        for (Index node = 0; node < static_cast<Index>(marked_.size()); ++node)
            if (marked_[node] != 0 && found_.piece_of[node] == no_index)
                fill(node);
        return std::move(found_);
    }

private:
    void fill(Index first) {
        const Index number = static_cast<Index>(found_.pieces.size());
        GridPiece piece;
        WindingRank winding;
        open_.assign(1, first);
        found_.piece_of[first] = number;
        while (!open_.empty()) {
            const Index node = open_.back();
            open_.pop_back();
            ++piece.n_nodes;
            const Vec3i at(node % counts_.x(), node / counts_.x() % counts_.y(),
                           node / (counts_.x() * counts_.y()));
            for (int a = 0; a < 3; ++a) {
                piece.on_face[2 * a] |= !periodic_[a] && at[a] == 0;
                piece.on_face[2 * a + 1] |= !periodic_[a] && at[a] == counts_[a] - 1;
            }
            for (int s = 0; s < n_steps_; ++s)
                visit(at, image_[node], s, number, winding);
        }
        piece.winding = winding.rank();
        found_.pieces.push_back(piece);
    }

    void visit(const Vec3i& from, const Vec3i& image, int s, Index number, WindingRank& winding) {
        Vec3i to(from.x() + steps[s][0], from.y() + steps[s][1], from.z() + steps[s][2]);
        Vec3i there = image;
        for (int a = 0; a < 3; ++a) {
            if (to[a] >= 0 && to[a] < counts_[a])
                continue;
            if (!periodic_[a])
                return;
            const int turn = to[a] < 0 ? -1 : 1;
            to[a] -= turn * counts_[a];
            there[a] += turn;
        }
        const Index node = (to.z() * counts_.y() + to.y()) * counts_.x() + to.x();
        if (marked_[node] == 0)
            return;
        if (found_.piece_of[node] == no_index) {
            found_.piece_of[node] = number;
            image_[node] = there;
            open_.push_back(node);
        } else if (winding.rank() < 3 && image_[node] != there) {
            winding.add(there - image_[node]);
        }
    }

    Vec3i counts_;
    std::array<bool, 3> periodic_;
    std::span<const std::uint8_t> marked_;
    int n_steps_;
    std::vector<Vec3i> image_;
    std::vector<Index> open_;
    GridPieces found_;
};

} // namespace

GridPieces find_pieces(const Vec3i& counts,
                       const std::array<bool, 3>& periodic,
                       std::span<const std::uint8_t> marked,
                       Joined joined) {
    CELLGRADE_ASSERT(marked.size() ==
                     static_cast<std::size_t>(counts.x()) * counts.y() * counts.z());
    return FloodFill(counts, periodic, marked, joined).run();
}

} // namespace cellgrade
