// SPDX-License-Identifier: Apache-2.0
#include "meshes/solids/fillet.hpp"

#include <Eigen/LU>

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>

namespace cellgrade {
namespace {

constexpr double parallel = 1e-9; ///< least determinant of the Gram matrix

/// Up to four planes n . v >= w and the least v that meets them.
class SmallProgramme {
public:
    void add(const Vec3& normal, double w) { planes_[size_++] = {normal, w}; }

    /// @return whether a v exists; keeps only the planes that hold it
    bool solve(double tolerance, Vec3& v) {
        double least = HUGE_VAL;
        unsigned best = 0;
        for (unsigned set = 1; set < (1u << size_); ++set) {
            Vec3 candidate;
            if (std::popcount(set) > 3 || !on_all(set, candidate))
                continue;
            const double squared = candidate.squaredNorm();
            if (squared < least && meets_others(set, candidate, tolerance)) {
                least = squared;
                best = set;
                v = candidate;
            }
        }
        if (best == 0)
            return false;
        int kept = 0;
        for (int k = 0; k < size_; ++k)
            if ((best >> k & 1u) != 0)
                planes_[kept++] = planes_[k];
        size_ = kept;
        return true;
    }

private:
    struct Plane {
        Vec3 normal;
        double w;
    };

    /// The least v with n_i . v = w_i on the chosen planes; false where one of them would pull.
    bool on_all(unsigned set, Vec3& v) const {
        std::array<int, 3> chosen{};
        int m = 0;
        for (int k = 0; k < size_; ++k)
            if ((set >> k & 1u) != 0)
                chosen[m++] = k;
        Mat3 gram = Mat3::Identity();
        Vec3 w = Vec3::Zero();
        for (int i = 0; i < m; ++i) {
            w[i] = planes_[chosen[i]].w;
            for (int j = 0; j < i; ++j)
                gram(i, j) = gram(j, i) = planes_[chosen[i]].normal.dot(planes_[chosen[j]].normal);
        }
        if (gram.determinant() < parallel)
            return false;
        const Vec3 force = gram.inverse() * w;
        v.setZero();
        for (int i = 0; i < m; ++i) {
            if (force[i] < 0.0)
                return false;
            v += force[i] * planes_[chosen[i]].normal;
        }
        return true;
    }

    bool meets_others(unsigned set, const Vec3& v, double tolerance) const {
        for (int k = 0; k < size_; ++k)
            if ((set >> k & 1u) == 0 && planes_[k].normal.dot(v) < planes_[k].w - tolerance)
                return false;
        return true;
    }

    std::array<Plane, 4> planes_;
    int size_ = 0;
};

} // namespace

double rolling_ball_union(std::span<const NearSurface> near, double radius) noexcept {
    double least = HUGE_VAL;
    const NearSurface* nearest = nullptr;
    for (const NearSurface& s : near)
        if (s.distance < least) {
            least = s.distance;
            nearest = &s;
        }
    if (nearest == nullptr || least >= radius)
        return least;
    const double lowest = std::min(least, -radius);
    const double tolerance = 1e-8 * radius;
    SmallProgramme programme;
    programme.add(nearest->normal, radius - least);
    Vec3 v = (radius - least) * nearest->normal;
    for (int round = 0; round < 100; ++round) {
        const NearSurface* violated = nullptr;
        double most = tolerance;
        for (const NearSurface& s : near) {
            const double lack = radius - s.distance - s.normal.dot(v);
            if (lack > most) {
                most = lack;
                violated = &s;
            }
        }
        if (violated == nullptr)
            return std::min(least, std::max(radius - v.norm(), lowest));
        programme.add(violated->normal, radius - violated->distance);
        if (!programme.solve(0.1 * tolerance, v))
            break; // no place for the ball
    }
    return lowest;
}

} // namespace cellgrade
