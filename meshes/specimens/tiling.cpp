// SPDX-License-Identifier: Apache-2.0
#include "meshes/specimens/tiling.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>

namespace cellgrade {
namespace {

constexpr double eps = 1e-9; ///< in cells

int floor_div(int a, int n) {
    return (a >= 0 ? a : a - n + 1) / n;
}

/// Part [first, last] of a line p + t d that lies in the box of cells.
struct Part {
    double first = 0.0;
    double last = 1.0;
};

/// An end or split point of a piece, as a node of the net and the period it is seen in.
struct NetEnd {
    Index node = no_index;
    Vec3i box = Vec3i::Zero();
};

class Tiler {
public:
    Tiler(const StrutCell& cell,
          const SpecimenPlan& plan,
          const std::vector<std::vector<double>>& layers)
        : cell_(cell), plan_(plan), layers_(layers), tiles_(plan.tiles.data()),
          size_(cell.lattice.diagonal()) {
        const bool across = plan.sides == Sides::Periodic;
        net_.periodic = {across, across, plan.ends == Ends::Periodic};
        net_.lattice = size_.cwiseProduct(tiles_.cast<double>()).asDiagonal();
        double sum = 0.0;
        for (const Strut& strut : cell.struts)
            sum += length(cell, strut);
        mean_length_ = sum / static_cast<double>(cell.struts.size());
    }

    StrutNet run() {
        for (std::size_t s = 0; s < cell_.struts.size(); ++s) {
            const Strut& strut = cell_.struts[s];
            const Vec3 a = cell_.nodes[strut.a];
            const Vec3 b = cell_.nodes[strut.b] + strut.image_b.cast<double>();
            const auto range = [&](int k) {
                if (net_.periodic[k] || cell_.is_whole)
                    return std::pair(0, tiles_[k] - 1);
                return std::pair(
                    static_cast<int>(std::ceil(-std::max(a[k], b[k]) - eps)),
                    static_cast<int>(std::floor(tiles_[k] - std::min(a[k], b[k]) + eps)));
            };
            const auto [x0, x1] = range(0);
            const auto [y0, y1] = range(1);
            const auto [z0, z1] = range(2);
            for (int z = z0; z <= z1; ++z)
                for (int y = y0; y <= y1; ++y)
                    for (int x = x0; x <= x1; ++x)
                        add_strut(static_cast<Index>(s), Vec3i(x, y, z));
        }
        return std::move(net_);
    }

private:
    void add_strut(Index s, const Vec3i& at) {
        const Strut& strut = cell_.struts[s];
        const Vec3i at_b = at + strut.image_b;
        const Vec3 p = cell_.nodes[strut.a] + at.cast<double>();
        const Vec3 d = cell_.nodes[strut.b] + at_b.cast<double>() - p;
        const Part part = inside(p, d);
        if (part.last - part.first < 1e-6)
            return;
        const Vec3 u_a = offset(strut.a, at);
        const Vec3 u_b = offset(strut.b, at_b);
        const auto place = [&](double t) { // [m], moved by the imperfections
            return Vec3(size_.cwiseProduct(p + t * d) + (1.0 - t) * u_a + t * u_b);
        };
        const double whole = size_.cwiseProduct(d).norm();
        const double scatter = diameter_factor(s, at);
        const std::vector<double> ends = split(s, p, d, part);
        NetEnd here = part.first == 0.0 ? joint(strut.a, at)
                                        : cut(p + part.first * d, place(part.first), true);
        for (std::size_t k = 1; k < ends.size(); ++k) {
            const bool is_end = k + 1 == ends.size();
            const double t = ends[k];
            const NetEnd next =
                is_end && t == 1.0 ? joint(strut.b, at_b) : cut(p + t * d, place(t), is_end);
            const double middle = p.z() + 0.5 * (ends[k - 1] + t) * d.z();
            net_.struts.push_back({.a = here.node,
                                   .b = next.node,
                                   .image_b = next.box - here.box,
                                   .radius = 0.5 * scatter * diameter(s, middle),
                                   .whole_length = whole});
            here = next;
        }
    }

    /// Clips to the faces that are not periodic; ends on a face are kept as they are.
    Part inside(const Vec3& p, const Vec3& d) const {
        Part part;
        for (int k = 0; k < 3; ++k) {
            if (net_.periodic[k])
                continue;
            if (std::abs(d[k]) < eps) {
                if (p[k] < -eps || p[k] > tiles_[k] + eps)
                    return {1.0, 0.0};
                continue;
            }
            const double t0 = (0.0 - p[k]) / d[k];
            const double t1 = (tiles_[k] - p[k]) / d[k];
            part.first = std::max(part.first, std::min(t0, t1));
            part.last = std::min(part.last, std::max(t0, t1));
        }
        if (part.first < eps)
            part.first = 0.0;
        if (part.last > 1.0 - eps)
            part.last = 1.0;
        return part;
    }

    /// Layer index for a height in cells, along a periodic z too.
    std::size_t layer(int z) const {
        const int n = tiles_.z();
        if (net_.periodic[2])
            z -= floor_div(z, n) * n;
        return static_cast<std::size_t>(std::clamp(z, 0, n - 1));
    }

    double diameter(Index s, double z) const {
        const auto plane = static_cast<int>(std::lround(z));
        if (std::abs(z - plane) < eps) // lies in a plane between layers, or is cut symmetrically
            return 0.5 * (layers_[layer(plane - 1)][s] + layers_[layer(plane)][s]);
        return layers_[layer(static_cast<int>(std::floor(z)))][s];
    }

    /// Ends of the pieces of a strut: those of the part, and the planes where the diameter changes.
    std::vector<double> split(Index s, const Vec3& p, const Vec3& d, const Part& part) const {
        std::vector<double> ends = {part.first};
        if (std::abs(d.z()) > eps) {
            const double z0 = p.z() + part.first * d.z();
            const double z1 = p.z() + part.last * d.z();
            const int low = static_cast<int>(std::floor(std::min(z0, z1)));
            const int high = static_cast<int>(std::ceil(std::max(z0, z1)));
            const double whole = size_.cwiseProduct(d).norm();
            for (int z = low; z <= high; ++z) {
                const double below = layers_[layer(z - 1)][s];
                const double above = layers_[layer(z)][s];
                const double t = (z - p.z()) / d.z();
                const double least = 0.5 * std::max(below, above) / whole;
                if (below != above && t > part.first + least && t < part.last - least)
                    ends.push_back(t);
            }
        }
        ends.push_back(part.last);
        std::sort(ends.begin(), ends.end());
        return ends;
    }

    NetEnd joint(Index node, const Vec3i& at) {
        Vec3i box = Vec3i::Zero();
        for (int k = 0; k < 3; ++k)
            if (net_.periodic[k])
                box[k] = floor_div(at[k], tiles_[k]);
        const Vec3i home = at - box.cwiseProduct(tiles_);
        const auto [place, is_new] = joints_.emplace(std::tuple(node, home.x(), home.y(), home.z()),
                                                     static_cast<Index>(net_.nodes.size()));
        if (is_new) {
            const Vec3 p = cell_.nodes[node] + home.cast<double>();
            net_.nodes.push_back(size_.cwiseProduct(p) + offset(node, home));
            net_.is_cut.push_back(false);
        }
        return {place->second, box};
    }

    /// A point of one strut only, so that it is never met again.
    NetEnd cut(const Vec3& p, const Vec3& place, bool flat) {
        NetEnd end{.node = static_cast<Index>(net_.nodes.size())};
        Vec3 x = place;
        for (int k = 0; k < 3; ++k) {
            if (net_.periodic[k]) {
                end.box[k] = static_cast<int>(std::floor(p[k] / tiles_[k] + eps));
                x[k] -= end.box[k] * net_.lattice(k, k);
            } else if (std::abs(p[k]) < eps) {
                x[k] = 0.0;
            } else if (std::abs(p[k] - tiles_[k]) < eps) {
                x[k] = net_.lattice(k, k);
            }
        }
        net_.nodes.push_back(x);
        net_.is_cut.push_back(flat);
        return end;
    }

    /// Random move of a joint [m]: none across a face it lies in, and not past a face.
    Vec3 offset(Index node, const Vec3i& at) const {
        const Imperfections& i = plan_.imperfections;
        Vec3 u = Vec3::Zero();
        if (i.node_offset == 0.0)
            return u;
        Vec3i home = at; // a periodic copy moves like its original
        for (int k = 0; k < 3; ++k)
            if (net_.periodic[k])
                home[k] -= floor_div(at[k], tiles_[k]) * tiles_[k];
        for (int k = 0; k < 3; ++k) {
            const std::array<std::int64_t, 6> key = {0, node, home.x(), home.y(), home.z(), k};
            u[k] = i.node_offset * mean_length_ * keyed_normal(i.seed, key);
            const double x = cell_.nodes[node][k] + home[k];
            if (net_.periodic[k] || x < -eps || x > tiles_[k] + eps)
                continue;
            if (x < eps || x > tiles_[k] - eps)
                u[k] = 0.0;
            else
                u[k] = std::clamp(u[k], -0.5 * x * size_[k], 0.5 * (tiles_[k] - x) * size_[k]);
        }
        return u;
    }

    double diameter_factor(Index s, const Vec3i& at) const {
        const Imperfections& i = plan_.imperfections;
        if (i.diameter_scatter == 0.0)
            return 1.0;
        const std::array<std::int64_t, 5> key = {1, s, at.x(), at.y(), at.z()};
        return 1.0 + i.diameter_scatter * keyed_normal(i.seed, key);
    }

    const StrutCell& cell_;
    const SpecimenPlan& plan_;
    const std::vector<std::vector<double>>& layers_;
    Vec3i tiles_;
    Vec3 size_; ///< of a cell [m]
    double mean_length_ = 0.0;
    StrutNet net_;
    std::map<std::tuple<Index, int, int, int>, Index> joints_;
};

} // namespace

StrutNet tile(const StrutCell& cell,
              const SpecimenPlan& plan,
              const std::vector<std::vector<double>>& layers) {
    return Tiler(cell, plan, layers).run();
}

} // namespace cellgrade
