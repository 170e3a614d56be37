// SPDX-License-Identifier: Apache-2.0
#include "meshes/catalogue/oriented_cell.hpp"

#include "solver/core/error.hpp"

#include <Eigen/LU>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <tuple>
#include <vector>

namespace cellgrade {

namespace {

using IndexMat = Eigen::Matrix<Index, 3, 3>;
constexpr Index most_cells = 200;
constexpr double tie = 1e-9; ///< of a length or a fractional coordinate

Vec3i reduced(const std::array<Index, 3>& direction) {
    const Index common = std::gcd(std::gcd(direction[0], direction[1]), direction[2]);
    CELLGRADE_CHECK(common != 0, "[000] is no direction; three whole numbers, not all 0, are "
                                 "needed, such as [1, 1, 0]");
    return Vec3i(direction[0], direction[1], direction[2]) / common;
}

/// Whole steps at right angles to all of `others`, the shortest first; of equal ones the greatest.
std::vector<Vec3i>
steps_across(const Mat3& lattice, const std::vector<Vec3i>& others, Index farthest) {
    std::vector<Vec3i> found;
    const auto across = [&](const Vec3i& step) {
        const Vec3 e = lattice * step.cast<double>();
        return std::all_of(others.begin(), others.end(), [&](const Vec3i& other) {
            const Vec3 o = lattice * other.cast<double>();
            return std::abs(e.dot(o)) < tie * e.norm() * o.norm();
        });
    };
    for (Index i = -farthest; i <= farthest; ++i)
        for (Index j = -farthest; j <= farthest; ++j)
            for (Index k = -farthest; k <= farthest; ++k)
                if (const Vec3i step(i, j, k); step != Vec3i::Zero() && across(step))
                    found.push_back(step);
    std::sort(found.begin(), found.end(), [&](const Vec3i& a, const Vec3i& b) {
        const double la = (lattice * a.cast<double>()).norm();
        const double lb = (lattice * b.cast<double>()).norm();
        if (std::abs(la - lb) > tie * la)
            return la < lb;
        return std::tuple(a.x(), a.y(), a.z()) > std::tuple(b.x(), b.y(), b.z());
    });
    return found;
}

/// A fractional coordinate brought to [0, 1); what lies within `tie` of 1 is 0.
struct Home {
    Vec3 u;
    Vec3i cell;
};
Home home_of(const Vec3& u) {
    Home home{u, Vec3i::Zero()};
    for (int a = 0; a < 3; ++a) {
        const double whole = std::floor(u[a] + tie);
        home.cell[a] = static_cast<Index>(whole);
        home.u[a] = std::max(0.0, u[a] - whole);
    }
    return home;
}

/// The nodes of the box and where each came from.
class BoxNodes {
public:
    BoxNodes(const StrutCell& cell, const IndexMat& box) : inverse_(box.cast<double>().inverse()) {
        const Index reach = box.cwiseAbs().rowwise().sum().maxCoeff();
        for (std::size_t n = 0; n < cell.nodes.size(); ++n)
            for (Index i = -reach; i <= reach; ++i)
                for (Index j = -reach; j <= reach; ++j)
                    for (Index k = -reach; k <= reach; ++k) {
                        const Vec3i shift(i, j, k);
                        const Home home = home_at(cell.nodes[n], shift);
                        if (home.cell == Vec3i::Zero()) {
                            from_.push_back({static_cast<Index>(n), shift});
                            places_.push_back(home.u);
                        }
                    }
        const auto wanted =
            static_cast<std::size_t>(std::llround(box.cast<double>().determinant())) *
            cell.nodes.size();
        CELLGRADE_CHECK(places_.size() == wanted,
                        "the turned box of cell '{}' has {} nodes, {} are due: two of its nodes "
                        "lie within {:g} of each other",
                        cell.name, places_.size(), wanted, tie);
    }

    struct From {
        Index node;
        Vec3i shift;
    };
    [[nodiscard]] const std::vector<From>& from() const { return from_; }
    [[nodiscard]] const std::vector<Vec3>& places() const { return places_; }
    [[nodiscard]] Home home_at(const Vec3& node, const Vec3i& shift) const {
        return home_of(inverse_ * (node + shift.cast<double>()));
    }
    /// The node of the box at this place.
    [[nodiscard]] Index at(const Vec3& u) const {
        const auto found = std::find_if(places_.begin(), places_.end(), [&](const Vec3& p) {
            return (p - u).cwiseAbs().maxCoeff() < 4.0 * tie;
        });
        CELLGRADE_ASSERT(found != places_.end());
        return static_cast<Index>(found - places_.begin());
    }

private:
    Mat3 inverse_;
    std::vector<From> from_;
    std::vector<Vec3> places_;
};

StrutCell turned(const StrutCell& cell, const IndexMat& box, const Vec3& size) {
    StrutCell out{.name = cell.name, .source = cell.source, .lattice = size.asDiagonal()};
    const BoxNodes nodes(cell, box);
    out.nodes = nodes.places();
    for (std::size_t a = 0; a < out.nodes.size(); ++a) {
        const BoxNodes::From& from = nodes.from()[a];
        for (std::size_t s = 0; s < cell.struts.size(); ++s) {
            const Strut& strut = cell.struts[s];
            if (strut.a != from.node)
                continue;
            const Home end = nodes.home_at(cell.nodes[strut.b], from.shift + strut.image_b);
            out.struts.push_back(
                {.a = static_cast<Index>(a), .b = nodes.at(end.u), .image_b = end.cell});
            if (!cell.diameters.empty())
                out.diameters.push_back(cell.diameters[s]);
        }
    }
    return out;
}

LevelSetCell turned(const LevelSetCell& cell, const IndexMat& box, const Vec3& size) {
    LevelSetCell out = cell;
    out.size = size;
    for (int a = 0; a < 3; ++a) {
        out.varies[a] = false;
        for (int i = 0; i < 3; ++i)
            out.varies[a] = out.varies[a] || (cell.varies[i] && box(i, a) != 0);
    }
    const Mat3 steps = box.cast<double>();
    out.function = [f = cell.function, steps](std::span<const Vec3> u, std::span<double> values) {
        std::vector<Vec3> home;
        home.reserve(u.size());
        for (const Vec3& each : u) {
            const Vec3 v = steps * each;
            home.emplace_back(v.array() - v.array().floor());
        }
        f(home, values);
    };
    return out;
}

} // namespace

IndexMat right_angled_box(const Mat3& lattice, const std::array<Index, 3>& direction) {
    const Vec3i d = reduced(direction);
    const Index farthest = std::min<Index>(24, 2 + d.cwiseAbs().sum() * d.cwiseAbs().maxCoeff());
    for (const Vec3i& p : steps_across(lattice, {d}, farthest)) {
        const std::vector<Vec3i> across = steps_across(lattice, {d, p}, farthest);
        if (across.empty())
            continue;
        IndexMat box;
        box.col(0) = p;
        box.col(1) = across.front();
        box.col(2) = d;
        if (box.cast<double>().determinant() < 0.0)
            box.col(1) = -box.col(1);
        if (box.cast<double>().determinant() < most_cells + 0.5)
            return box;
        break; // the shortest first edge already makes it too large
    }
    throw input_error("direction [{} {} {}] has no right-angled box of at most {} cells; of a "
                      "cubic cell directions of small whole numbers have one, of others few",
                      d.x(), d.y(), d.z(), most_cells);
}

AnyCell oriented(const AnyCell& cell, const std::array<Index, 3>& direction) {
    if (direction == std::array<Index, 3>{0, 0, 1})
        return cell;
    const auto* struts = std::get_if<StrutCell>(&cell);
    const Mat3 lattice = struts != nullptr ? struts->lattice : Mat3(edges_of(cell).asDiagonal());
    const IndexMat box = right_angled_box(lattice, direction);
    const Vec3 size = (lattice * box.cast<double>()).colwise().norm();
    return std::visit([&](const auto& c) -> AnyCell { return turned(c, box, size); }, cell);
}

} // namespace cellgrade
