// SPDX-License-Identifier: Apache-2.0
#include "solver/dynamics/node_motion.hpp"

#include "solver/dynamics/rotation.hpp"
#include "solver/elements/thread_count.hpp"
#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <Eigen/Geometry>

#include <cmath>
#include <numbers>
#include <vector>

using namespace cellgrade;

namespace {

NodeMotion single_body(const Mat3& rotary) {
    const std::vector<Vec3> at{Vec3::Zero()};
    const std::vector<double> mass{2.0};
    const std::vector<Mat3> inertia{rotary};
    return {at, make_node_inertia(mass, inertia)};
}

/// Angle of the symmetry axis' precession and of the body after time t, by the scheme.
double precession_error(int steps) {
    // Symmetric top: A = B = 1, C = 2 kg m^2. Exact (Landau & Lifshitz, Mechanics, sec. 33): the
    // body axis turns about the angular momentum L at |L|/A.
    const double A = 1.0, C = 2.0, t_end = 2.0;
    NodeMotion motion = single_body(Vec3(A, A, C).asDiagonal());
    const Vec3 w0(1.5, 0.0, 3.0);
    motion.set_velocity(0, Vec3::Zero(), w0);
    const Vec3 L(A * w0.x(), 0.0, C * w0.z());
    const double dt = t_end / steps;
    const std::vector<NodeLoad> load(1);
    for (int n = 0; n < steps; ++n)
        motion.advance(load, {.dt = dt, .dt_next = dt, .half_time = 0.0}, {.alpha = 0.0});
    const NodePose& p = motion.poses()[0];
    const Vec3 axis = rotate({p.qw, p.qx, p.qy, p.qz}, Vec3::UnitZ());
    const Vec3 want =
        Eigen::AngleAxisd(L.norm() / A * t_end, L.normalized()) * Vec3::UnitZ().eval();
    return (axis - want).norm();
}

} // namespace

TEST_CASE("NodeMotion: a free symmetric top precesses at |L|/A, at order 2") {
    const double e1 = precession_error(400), e2 = precession_error(800),
                 e3 = precession_error(1600);
    CHECK(std::abs(test::order(e1, e2) - 2.0) < 0.05);
    CHECK(std::abs(test::order(e2, e3) - 2.0) < 0.05);
    CHECK(e3 < 1e-4);
}

TEST_CASE(
    "NodeMotion: a free asymmetric top keeps its angular momentum to the bit and its energy") {
    NodeMotion motion = single_body(Vec3(1.0, 1.7, 2.9).asDiagonal());
    motion.set_velocity(0, Vec3(1.0, 2.0, 3.0), Vec3(0.01, 4.0, 0.02)); // about the unstable axis
    const Vec3 spin = motion.save().spin[0];
    const double energy = motion.kinetic_half();
    const std::vector<NodeLoad> load(1);
    double worst = 0.0;
    for (int n = 0; n < 20000; ++n) {
        motion.advance(load, {.dt = 1e-3, .dt_next = 1e-3}, {.alpha = 0.0});
        worst = std::max(worst, test::rel_err(motion.kinetic_half(), energy));
    }
    CHECK(motion.save().spin[0] == spin);
    // midpoint inertia: the energy error is bounded and of order (dt w)^2 = 1.6e-5, without drift
    CHECK(worst < 1.6e-5);
}

TEST_CASE("NodeMotion: free fall is exact for a constant force") {
    NodeMotion motion = single_body(Mat3::Identity());
    std::vector<NodeLoad> load(1);
    load[0].fz = -2.0 * 9.80665;
    const double dt = 1e-3;
    motion.set_velocity(0, Vec3(0.0, 0.0, 0.5 * 9.80665 * dt), Vec3::Zero()); // v = 0 at t = 0
    for (int n = 0; n < 1000; ++n)
        motion.advance(load, {.dt = dt, .dt_next = dt}, {.alpha = 0.0});
    CHECK(test::rel_err(motion.poses()[0].z, -0.5 * 9.80665) < 1e-12);
}

TEST_CASE("NodeMotion: mass-proportional damping decays at the rate alpha, energy accounted for") {
    NodeMotion motion = single_body(Mat3::Identity());
    motion.set_velocity(0, Vec3(3.0, 0.0, 0.0), Vec3(0.0, 2.0, 0.0));
    const double start = motion.kinetic_half(), alpha = 5.0, dt = 1e-3;
    const std::vector<NodeLoad> load(1);
    double dissipated = 0.0, left = 0.0;
    for (int n = 0; n < 200; ++n) {
        const MotionSums sums = motion.advance(load, {.dt = dt, .dt_next = dt}, {.alpha = alpha});
        dissipated += sums.damping_work;
        left = motion.kinetic_half();
    }
    // trapezoidal decay: exp(-alpha t) up to (alpha dt)^2/12 per unit of alpha t
    CHECK(test::rel_err(motion.rates()[0].vx, 3.0 * std::exp(-alpha * 0.2)) < 3e-6);
    CHECK(test::rel_err(left + dissipated, start) < 1e-12);
}

TEST_CASE("NodeMotion: a driven node reports the force and work it takes") {
    NodeMotion motion = single_body(Mat3::Identity());
    const double a = 4.0, dt = 1e-3;
    const Index group = motion.add_group({.nodes = {0}, .freedoms = fix_all, .rate = [a](double t) {
                                              return GroupRate{.velocity = Vec3(a * t, 0.0, 0.0),
                                                               .spin = Vec3(0.0, 0.0, a * t)};
                                          }});
    const std::vector<NodeLoad> load(1);
    double work = 0.0, kinetic = 0.0;
    for (int n = 0; n < 1000; ++n) {
        const StepTimes times{
            .dt = n == 0 ? 0.5 * dt : dt, .dt_next = dt, .half_time = (n + 0.5) * dt};
        const MotionSums sums = motion.advance(load, times, {.alpha = 0.0});
        work += sums.load_work;
        kinetic = motion.kinetic_half();
    }
    CHECK(test::rel_err(motion.reaction(group).force.x(), 2.0 * a) < 1e-9);
    CHECK(test::rel_err(motion.reaction(group).moment.z(), a) < 1e-6);
    CHECK(test::rel_err(work, kinetic) < 1e-9);
}

TEST_CASE("NodeMotion: same bits for 1, 2 and 3 threads and after restore") {
    const std::size_t n = 1500;
    std::vector<Vec3> at;
    std::vector<double> mass;
    std::vector<Mat3> rotary;
    for (std::size_t i = 0; i < n; ++i) {
        at.emplace_back(0.1 * static_cast<double>(i), 0.0, 0.0);
        mass.push_back(1.0 + 0.001 * static_cast<double>(i));
        rotary.emplace_back(Vec3(1.0, 1.5, 2.0 + 0.001 * static_cast<double>(i)).asDiagonal());
    }
    std::vector<NodeLoad> load(n);
    for (std::size_t i = 0; i < n; ++i)
        load[i] = {std::sin(static_cast<double>(i)), 1.0, 2.0, 0.1,
                   std::cos(static_cast<double>(i)), 0.3};
    use_threads(1);
    NodeMotion first(at, make_node_inertia(mass, rotary));
    NodeMotion second(at, make_node_inertia(mass, rotary));
    double k1 = 0.0, k2 = 0.0;
    for (int step = 0; step < 10; ++step)
        k1 = first.advance(load, {.dt = 1e-2, .dt_next = 1e-2}, {.alpha = 0.1}).kinetic;
    use_threads(2);
    for (int step = 0; step < 5; ++step)
        second.advance(load, {.dt = 1e-2, .dt_next = 1e-2}, {.alpha = 0.1});
    const NodeMotion::State middle = second.save();
    NodeMotion third(at, make_node_inertia(mass, rotary));
    third.restore(middle);
    use_threads(3);
    for (int step = 5; step < 10; ++step)
        k2 = third.advance(load, {.dt = 1e-2, .dt_next = 1e-2}, {.alpha = 0.1}).kinetic;
    use_threads(1);
    CHECK(k1 == k2);
    CHECK(first.poses()[n - 1].qx == third.poses()[n - 1].qx);
}
