// SPDX-License-Identifier: Apache-2.0
#include "meshes/print/thin_out.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <queue>

namespace cellgrade {

namespace {

using Triangle = std::array<Index, 3>;
using Distance = std::function<double(const Vec3&)>;

constexpr double least_cosine = 0.5;    ///< between a triangle's normals before and after
constexpr double least_height = 0.01;   ///< of a triangle, over its longest edge
constexpr double towards_middle = 1e-3; ///< weight, where planes leave a point free

/// Sum of area times squared distance from planes: x . A x + 2 b . x + c.
struct PlaneSum {
    Mat3 A = Mat3::Zero();
    Vec3 b = Vec3::Zero();
    double c = 0.0;

    void add(const PlaneSum& other) {
        A += other.A;
        b += other.b;
        c += other.c;
    }
};

struct Step {
    double cost;
    Index u, v;
    int version_u, version_v;

    bool operator<(const Step& other) const { // the cheapest on top; ties by number
        if (cost != other.cost)
            return cost > other.cost;
        return u != other.u ? u > other.u : v > other.v;
    }
};

class Thinner {
public:
    Thinner(TileSurface& surface,
            const std::vector<bool>& near,
            const Vec3& box,
            const Distance& distance,
            double tolerance)
        : x_(surface.points), t_(surface.triangles), on_rim_(surface.on_rim), box_(box),
          distance_(distance), tolerance_(tolerance), star_(x_.size()), planes_(x_.size()),
          version_(x_.size(), 0) {
        for (std::size_t i = 0; i < t_.size(); ++i) {
            const PlaneSum plane = plane_of(t_[i]);
            for (const Index corner : t_[i]) {
                star_[corner].push_back(static_cast<Index>(i));
                planes_[corner].add(plane);
            }
        }
        for (const Triangle& t : t_)
            for (int i = 0; i < 3; ++i)
                if (t[i] < t[(i + 1) % 3] && (near.empty() || near[t[i]] || near[t[(i + 1) % 3]]))
                    offer(t[i], t[(i + 1) % 3]);
    }

    void run() {
        while (!steps_.empty()) {
            const Step step = steps_.top();
            steps_.pop();
            if (step.version_u == version_[step.u] && step.version_v == version_[step.v])
                attempt(step.u, step.v);
        }
    }

private:
    PlaneSum plane_of(const Triangle& t) const {
        const Vec3 twice = (x_[t[1]] - x_[t[0]]).cross(x_[t[2]] - x_[t[0]]);
        const double area = 0.5 * twice.norm();
        if (area == 0.0)
            return {};
        const Vec3 n = twice.normalized();
        const double d = -n.dot(x_[t[0]]);
        return {area * n * n.transpose(), area * d * n, area * d * d};
    }

    void offer(Index u, Index v) {
        if (on_rim_[u] || on_rim_[v])
            return;
        const auto [low, high] = std::minmax(u, v);
        steps_.push({cost_at_middle(u, v), low, high, version_[low], version_[high]});
    }

    /// What an edge costs, near enough to tell which to take first.
    double cost_at_middle(Index u, Index v) const {
        const Vec3 m = 0.5 * (x_[u] + x_[v]);
        const Mat3 A = planes_[u].A + planes_[v].A;
        const Vec3 b = planes_[u].b + planes_[v].b;
        return m.dot(A * m) + 2.0 * b.dot(m) + planes_[u].c + planes_[v].c +
               towards_middle * A.trace() * (x_[u] - x_[v]).squaredNorm();
    }

    static bool has(const Triangle& t, Index corner) {
        return t[0] == corner || t[1] == corner || t[2] == corner;
    }

    /// Calls visit(triangle, whether it stays) for all triangles at an edge's ends.
    template <class Visit>
    void for_each_at(Index u, Index v, Visit visit) const {
        for (const Index i : star_[u])
            visit(t_[i], !has(t_[i], v));
        for (const Index i : star_[v])
            if (!has(t_[i], u))
                visit(t_[i], true);
    }

    /// Where an edge should shrink to; nothing where no place keeps the volume.
    std::optional<Vec3> goal_of(Index u, Index v) const {
        const Vec3 m = 0.5 * (x_[u] + x_[v]);
        Vec3 g = Vec3::Zero(); // of the volume, six times, over the place
        double six = 0.0;
        for_each_at(u, v, [&](const Triangle& t, bool stays) {
            const Vec3 a = x_[t[0]] - m, b = x_[t[1]] - m, c = x_[t[2]] - m;
            six += a.dot(b.cross(c));
            if (!stays)
                return;
            if (t[0] == u || t[0] == v)
                g += b.cross(c);
            else if (t[1] == u || t[1] == v)
                g += c.cross(a);
            else
                g += a.cross(b);
        });
        PlaneSum sum = planes_[u];
        sum.add(planes_[v]);
        const double trace = sum.A.trace();
        const Mat3 S = sum.A + towards_middle * trace * Mat3::Identity();
        const Vec3 k = sum.A * m + sum.b;
        const Mat3 inverse = S.inverse();
        const double stiff = g.dot(inverse * g);
        if (!(trace > 0.0) || !(stiff > 0.0))
            return {};
        const Vec3 y = -inverse * k + (six + g.dot(inverse * k)) / stiff * (inverse * g);
        return Vec3(m + y);
    }

    bool keeps_manifold(Index u, Index v) const {
        std::vector<Index> of_u, of_v, both;
        const auto collect = [&](Index of, std::vector<Index>& near) {
            for (const Index i : star_[of])
                for (const Index corner : t_[i])
                    if (corner != of)
                        near.push_back(corner);
            std::sort(near.begin(), near.end());
            near.erase(std::unique(near.begin(), near.end()), near.end());
        };
        collect(u, of_u);
        collect(v, of_v);
        std::set_intersection(of_u.begin(), of_u.end(), of_v.begin(), of_v.end(),
                              std::back_inserter(both));
        return both.size() == 2 && std::all_of(both.begin(), both.end(), [&](Index near) {
                   return on_rim_[near] || star_[near].size() > 3;
               });
    }

    /// Largest distance of a triangle's corner a, middle and two edge middles from the bars.
    double error(const Vec3& a, const Vec3& b, const Vec3& c) const {
        double most = 0.0;
        for (const Vec3& x : {Vec3(0.5 * (a + b)), Vec3(0.5 * (a + c)), Vec3((a + b + c) / 3.0)})
            most = std::max(most, std::abs(distance_(x)));
        return most;
    }

    bool keeps_shape(Index u, Index v, const Vec3& x) const {
        if ((x.array() <= 0.0).any() || (x.array() >= box_.array()).any())
            return false;
        bool good = std::abs(distance_(x)) <=
                    std::max({tolerance_, std::abs(distance_(x_[u])), std::abs(distance_(x_[v]))});
        double before = 0.0, after = 0.0;
        for_each_at(u, v, [&](const Triangle& t, bool stays) {
            if (!good || !stays)
                return;
            const int i = t[0] == u || t[0] == v ? 0 : t[1] == u || t[1] == v ? 1 : 2;
            const Vec3 &b = x_[t[(i + 1) % 3]], &c = x_[t[(i + 2) % 3]];
            const Vec3 old = (b - x_[t[i]]).cross(c - x_[t[i]]), now = (b - x).cross(c - x);
            const double longest =
                std::max({(b - c).squaredNorm(), (b - x).squaredNorm(), (c - x).squaredNorm()});
            good = now.dot(old) > least_cosine * now.norm() * old.norm() &&
                   now.norm() > least_height * longest;
            if (good)
                after = std::max(after, error(x, b, c));
        });
        if (!good || after <= tolerance_)
            return good;
        for_each_at(u, v, [&](const Triangle& t, bool /*stays*/) {
            for (int i = 0; i < 3; ++i)
                before = std::max(before, error(x_[t[i]], x_[t[(i + 1) % 3]], x_[t[(i + 2) % 3]]));
        });
        return after <= before;
    }

    void attempt(Index u, Index v) {
        const std::optional<Vec3> goal = goal_of(u, v);
        if (!goal || !keeps_manifold(u, v) || !keeps_shape(u, v, *goal))
            return;
        x_[u] = *goal;
        planes_[u].add(planes_[v]);
        std::vector<Index> stays;
        for (const Index i : star_[u])
            if (!has(t_[i], v))
                stays.push_back(i);
            else
                for (const Index corner : t_[i])
                    if (corner != u && corner != v)
                        std::erase(star_[corner], i);
        for (const Index i : star_[v]) {
            Triangle& t = t_[i];
            if (has(t, u)) {
                t = {no_index, no_index, no_index};
                continue;
            }
            std::replace(t.begin(), t.end(), v, u);
            stays.push_back(i);
        }
        star_[u] = std::move(stays);
        star_[v].clear();
        ++version_[u];
        ++version_[v];
        for (const Index i : star_[u])
            for (int k = 0; k < 3; ++k)
                if (t_[i][k] == u) // each neighbour follows u in one triangle
                    offer(u, t_[i][(k + 1) % 3]);
    }

    std::vector<Vec3>& x_;
    std::vector<Triangle>& t_;
    const std::vector<bool>& on_rim_;
    const Vec3& box_;
    const Distance& distance_;
    double tolerance_;
    std::vector<std::vector<Index>> star_; ///< triangles at a point
    std::vector<PlaneSum> planes_;
    std::vector<int> version_; ///< raised when a point moves or goes
    std::priority_queue<Step> steps_;
};

/// Drops triangles without corners and points that none uses.
void close_ranks(TileSurface& surface) {
    std::erase_if(surface.triangles, [](const Triangle& t) { return t[0] == no_index; });
    std::vector<Index> number(surface.points.size(), no_index);
    TileSurface kept;
    for (Triangle& t : surface.triangles)
        for (Index& corner : t) {
            if (number[corner] == no_index) {
                number[corner] = static_cast<Index>(kept.points.size());
                kept.points.push_back(surface.points[corner]);
                kept.rim.push_back(surface.rim[corner]);
                kept.on_rim.push_back(surface.on_rim[corner]);
            }
            corner = number[corner];
        }
    kept.triangles = std::move(surface.triangles);
    surface = std::move(kept);
}

} // namespace

void thin_out(TileSurface& surface,
              const std::vector<bool>& near,
              const Vec3& box,
              const std::function<double(const Vec3&)>& distance,
              double tolerance) {
    Thinner(surface, near, box, distance, tolerance).run();
    close_ranks(surface);
}

} // namespace cellgrade
