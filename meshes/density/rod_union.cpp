// SPDX-License-Identifier: Apache-2.0
#include "meshes/density/rod_union.hpp"

#include "solver/core/error.hpp"
#include "solver/core/sums.hpp"

#include <Eigen/Geometry>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <span>

namespace cellgrade {
namespace {

constexpr int n_directions = 400;
using std::numbers::pi;

struct GaussPoint {
    double x, w;
};

// Gauss-Legendre on [-1, 1], the positive half: Abramowitz and Stegun 1964, table 25.4.
constexpr std::array<GaussPoint, 5> gauss_10 = {{{0.1488743389816312, 0.2955242247147529},
                                                 {0.4333953941292472, 0.2692667193099963},
                                                 {0.6794095682990244, 0.2190863625159820},
                                                 {0.8650633666889845, 0.1494513491505806},
                                                 {0.9739065285171717, 0.0666713443086881}}};
constexpr std::array<GaussPoint, 2> gauss_4 = {
    {{0.3399810435848563, 0.6521451548625461}, {0.8611363115940526, 0.3478548451374538}}};

/// A rounded strut with what does not change from line to line.
struct Body {
    Vec3 from; ///< [m]
    Vec3 axis; ///< unit
    double length;
    double radius; ///< [m]
    bool flat_from, flat_to;
};

struct Interval {
    double low, high;
    bool empty() const { return low >= high; }
    void include(const Interval& other) {
        if (other.empty())
            return;
        if (empty()) {
            *this = other;
            return;
        }
        low = std::min(low, other.low);
        high = std::max(high, other.high);
    }
};

constexpr Interval nothing{0.0, 0.0};

/// Where p + t u lies in the ball, u a unit vector.
Interval in_ball(const Vec3& p, const Vec3& u, const Vec3& centre, double radius) {
    const Vec3 w = p - centre;
    const double b = w.dot(u);
    const double disc = b * b - w.squaredNorm() + radius * radius;
    if (disc <= 0.0)
        return nothing;
    const double half = std::sqrt(disc);
    return {-b - half, -b + half};
}

Interval in_cylinder(const Vec3& p, const Vec3& u, const Body& body) {
    const Vec3 w = p - body.from;
    const double wv = w.dot(body.axis);
    const double uv = u.dot(body.axis);
    const double a = 1.0 - uv * uv;
    const double b = u.dot(w) - uv * wv;
    const double c = w.squaredNorm() - wv * wv - body.radius * body.radius;
    Interval hit{-1e300, 1e300};
    if (a > 1e-12) {
        const double disc = b * b - a * c;
        if (disc <= 0.0)
            return nothing;
        const double half = std::sqrt(disc);
        hit = {(-b - half) / a, (-b + half) / a};
    } else if (c >= -1e-9 * body.radius * body.radius) {
        return nothing; // parallel, outside or on the surface
    }
    if (std::abs(uv) > 1e-12) { // between the end planes
        const double t0 = -wv / uv;
        const double t1 = (body.length - wv) / uv;
        hit.low = std::max(hit.low, std::min(t0, t1));
        hit.high = std::min(hit.high, std::max(t0, t1));
    } else if (wv < 0.0 || wv > body.length) {
        return nothing;
    }
    return hit;
}

/// Cylinder and balls form one convex body, so the three intervals join into one.
Interval in_body(const Vec3& p, const Vec3& u, const Body& body) {
    Interval hit = in_cylinder(p, u, body);
    if (!body.flat_from)
        hit.include(in_ball(p, u, body.from, body.radius));
    if (!body.flat_to)
        hit.include(in_ball(p, u, body.from + body.length * body.axis, body.radius));
    return hit;
}

bool contains(const Body& body, const Vec3& x) {
    const Vec3 w = x - body.from;
    const double along = w.dot(body.axis);
    if ((along < 0.0 && body.flat_from) || (along > body.length && body.flat_to))
        return false;
    const double t = std::clamp(along, 0.0, body.length);
    // a point on the common ball of a joint lies on all its struts, in none of them
    const double inside = (1.0 - 1e-9) * body.radius;
    return (w - t * body.axis).squaredNorm() < inside * inside;
}

/// Length of [0, length] outside all intervals; sorts them.
double free_length(std::vector<Interval>& covered, double length) {
    std::sort(covered.begin(), covered.end(),
              [](const Interval& a, const Interval& b) { return a.low < b.low; });
    double free = 0.0;
    double reached = 0.0;
    for (const Interval& c : covered) {
        if (c.low > reached)
            free += std::min(c.low, length) - reached;
        reached = std::max(reached, c.high);
        if (reached >= length)
            return free;
    }
    return free + length - reached;
}

Body body_of(const StrutNet& net, const RodNeighbour& rod, double s) {
    const NetStrut& strut = net.struts[rod.strut];
    const double length = rod.along.norm();
    return {.from = rod.from,
            .axis = rod.along / length,
            .length = length,
            .radius = s * strut.radius,
            .flat_from = net.is_cut[strut.a],
            .flat_to = net.is_cut[strut.b]};
}

RodNeighbour placed(const StrutNet& net, Index i) {
    const NetStrut& strut = net.struts[i];
    return {
        .strut = i, .from = net.nodes[strut.a], .along = end_b(net, strut) - net.nodes[strut.a]};
}

/// The neighbours that touch a strut at scale s.
std::vector<Body> bodies_near(const StrutNet& net,
                              const std::vector<RodNeighbour>& near,
                              const Body& self,
                              double s) {
    std::vector<Body> bodies;
    for (const RodNeighbour& rod : near)
        if (rod.gap < self.radius + s * net.struts[rod.strut].radius)
            bodies.push_back(body_of(net, rod, s));
    return bodies;
}

/// Even directions on the unit sphere (golden-angle spiral).
std::vector<Vec3> spiral_directions() {
    std::vector<Vec3> directions;
    const double turn = pi * (3.0 - std::sqrt(5.0));
    for (int k = 0; k < n_directions; ++k) {
        const double z = 1.0 - (2.0 * k + 1.0) / n_directions;
        const double rho = std::sqrt(1.0 - z * z);
        directions.emplace_back(rho * std::cos(turn * k), rho * std::sin(turn * k), z);
    }
    return directions;
}

} // namespace

RodUnion::RodUnion(const StrutNet& net, double scale_limit, Effort effort)
    : net_(net), effort_(effort), near_(rod_neighbours(net, scale_limit)),
      thickest_(net.nodes.size(), no_index) {
    for (std::size_t i = 0; i < net.struts.size(); ++i)
        for (const Index node : {net.struts[i].a, net.struts[i].b}) {
            Index& best = thickest_[node];
            if (!net.is_cut[node] &&
                (best == no_index || net.struts[i].radius > net.struts[best].radius))
                best = static_cast<Index>(i);
        }
}

double RodUnion::free_side_area(Index strut, double s) const {
    const Body self = body_of(net_, placed(net_, strut), s);
    const std::vector<Body> others = bodies_near(net_, near_[strut], self, s);
    const int n_lines = effort_ == Effort::Fine ? 64 : 32;
    const Vec3 e1 = self.axis.unitOrthogonal();
    const Vec3 e2 = self.axis.cross(e1);
    std::vector<Interval> covered;
    double sum = 0.0;
    for (int line = 0; line < n_lines; ++line) {
        // an irrational start keeps the lines off the symmetry planes of the cell
        const double angle = 2.0 * pi * (line + 0.381966) / n_lines;
        const Vec3 p = self.from + self.radius * (std::cos(angle) * e1 + std::sin(angle) * e2);
        covered.clear();
        for (const Body& other : others) {
            const Interval hit = in_body(p, self.axis, other);
            if (!hit.empty() && hit.high > 0.0 && hit.low < self.length)
                covered.push_back(hit);
        }
        sum += free_length(covered, self.length);
    }
    return 2.0 * pi * self.radius / n_lines * sum;
}

double RodUnion::free_cap_area(Index node, double s) const {
    const Index strut = thickest_[node];
    if (strut == no_index)
        return 0.0;
    static const std::vector<Vec3> directions = spiral_directions();
    const Body self = body_of(net_, placed(net_, strut), s);
    std::vector<Body> others = bodies_near(net_, near_[strut], self, s);
    others.push_back(self);
    const bool at_from = net_.struts[strut].a == node;
    const Vec3 centre = at_from ? self.from : Vec3(self.from + self.length * self.axis);
    int n_free = 0;
    for (const Vec3& u : directions) {
        const Vec3 x = centre + self.radius * u;
        const bool hidden = std::any_of(others.begin(), others.end(),
                                        [&](const Body& b) { return contains(b, x); });
        n_free += hidden ? 0 : 1;
    }
    return 4.0 * pi * self.radius * self.radius * n_free / n_directions;
}

double RodUnion::growth(double s) const {
    std::vector<double> parts;
    for (std::size_t i = 0; i < net_.struts.size(); ++i)
        parts.push_back(net_.struts[i].radius * free_side_area(static_cast<Index>(i), s));
    for (std::size_t m = 0; m < net_.nodes.size(); ++m)
        if (thickest_[m] != no_index)
            parts.push_back(net_.struts[thickest_[m]].radius *
                            free_cap_area(static_cast<Index>(m), s));
    return ordered_sum(parts);
}

double RodUnion::volume(double s) const {
    const bool fine = effort_ == Effort::Fine;
    const auto points = fine ? std::span<const GaussPoint>(gauss_10) : gauss_4;
    double sum = 0.0;
    for (const auto& [x, w] : points)
        sum += w * (growth(0.5 * s * (1.0 - x)) + growth(0.5 * s * (1.0 + x)));
    return 0.5 * s * sum;
}

double union_volume(const StrutNet& net, Effort effort) {
    return RodUnion(net, 1.0, effort).volume(1.0);
}

double centre_line_volume(const StrutNet& net) {
    std::vector<double> parts;
    for (const NetStrut& strut : net.struts)
        parts.push_back(pi * strut.radius * strut.radius * length(net, strut));
    return ordered_sum(parts);
}

} // namespace cellgrade
