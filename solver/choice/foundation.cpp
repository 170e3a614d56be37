// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/foundation.hpp"

#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

constexpr Index rings_of_round = 100; // the error falls as the square: 4e-5 of the force here

} // namespace

Foundation::Foundation(const GradeResponse& grade,
                       const Striker& striker,
                       const Pad& pad,
                       double stress_factor)
    : grade_(&grade), striker_(striker), pad_(pad), factor_(stress_factor) {
    pad.check();
    striker.check();
    CELLGRADE_CHECK(stress_factor >= 0.0, "stress factor {:g} must not be negative", stress_factor);
    const double area = std::min(striker.area_at(pad.thickness_m), pad.area_m2);
    const Index n = striker.shape == StrikerShape::Flat ? 1 : rings_of_round;
    for (Index k = 0; k < n; ++k)
        rings_.push_back({.inner_m2 = area * k / n, .outer_m2 = area * (k + 1) / n});
}

void Foundation::begin_hit(double recovery_share) {
    recovery_ = recovery_share;
    depth_ = time_ = deepest_ = 0.0;
    for (Ring& ring : rings_) {
        ring.before = std::max(ring.before, ring.largest);
        ring.largest = 0.0;
        ring.touched_s = -1.0;
        ring.rate = 0.0;
    }
}

double Foundation::stress(const Ring& ring, double strain, bool going_back) const {
    const double loading = grade_->stress_Pa(strain, ring.rate);
    const auto softened = [&](double largest) {
        return strain < largest ? grade_->return_share(strain / largest, ring.rate) : 1.0;
    };
    const double as_left = softened(going_back ? std::max(ring.largest, ring.before) : ring.before);
    if (recovery_ == 0.0 || ring.before == 0.0)
        return factor_ * loading * as_left;
    const double as_new = going_back ? softened(ring.largest) : 1.0;
    return factor_ * loading * ((1.0 - recovery_) * as_left + recovery_ * as_new);
}

double Foundation::move_to(double depth_m, double time_s) {
    CELLGRADE_ASSERT(time_s >= time_);
    const bool going_back = depth_m < deepest_;
    const double reached = striker_.area_at(depth_m); // 0 above the face
    double force = 0.0;
    for (Ring& ring : rings_) {
        const bool flat = striker_.shape == StrikerShape::Flat;
        if (depth_m <= 0.0 || (!flat && reached <= ring.inner_m2))
            break; // rings further out are not reached either
        const double outer = flat ? ring.outer_m2 : std::min(reached, ring.outer_m2);
        const double height = flat ? 0.0 : striker_.height_at(0.5 * (ring.inner_m2 + outer));
        const double strain = (depth_m - height) / pad_.thickness_m;
        if (ring.touched_s < 0.0) {
            const double rim = flat ? 0.0 : striker_.height_at(ring.inner_m2);
            const double part = depth_m > depth_ ? (rim - depth_) / (depth_m - depth_) : 0.0;
            ring.touched_s = time_ + std::clamp(part, 0.0, 1.0) * (time_s - time_);
        }
        if (!going_back) {
            if (time_s > ring.touched_s)
                ring.rate = strain / (time_s - ring.touched_s);
            ring.largest = std::max(ring.largest, strain);
        }
        force += stress(ring, strain, going_back) * (outer - ring.inner_m2);
    }
    depth_ = depth_m;
    time_ = time_s;
    deepest_ = std::max(deepest_, depth_m);
    return force;
}

double Foundation::steepest_N_per_m() const {
    return factor_ * grade_->steepest_Pa() * rings_.back().outer_m2 / pad_.thickness_m;
}

} // namespace cellgrade
