// SPDX-License-Identifier: Apache-2.0
// Problem    waves in a bar (impact, release), the stability limit of a step, free flight, a beam
//            spun up by its hinge, a mass on a spring.
// Exact      wave theory, conservation laws, closed forms, each named in its row.
// Tolerance  a square wave on 100 elements rings at its front: 2 % on a plateau's mean, 3 % on the
//            length of contact through a penalty; conserved sums to rounding, energy to the bounded
//            error of the scheme.
#include "solver/cli/verify/known_beams.hpp"
#include "solver/core/error.hpp"
#include "solver/elements/beam_forces.hpp"
#include "solver/elements/beam_stable_step.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace cellgrade {

namespace {

using namespace known_beams;
constexpr double pi = std::numbers::pi, g0 = 9.80665;
constexpr double r = 0.5e-3, E = 50e6, nu = 0.45, rho = 1200.0, A = pi * r * r;
const double c = std::sqrt(E / rho); // of axial waves [m/s]

BodyDynamics bar_dynamics(const BeamMesh& mesh, double damping_per_s) {
    return {mesh.nodes, round_body(mesh, section_moduli(E, nu), rho, RotaryRule::RaisedToAxial),
            DynamicsSettings{.damping_per_s = damping_per_s}};
}

void add_wall_impact(Rows& rows) {
    constexpr double L = 0.1, v = 5.0;
    constexpr int n = 100;
    BeamMesh mesh = chain({{0, 0, 0}, {0, 0, L}}, n, r);
    mesh.box = Vec3(2.0 * r, 2.0 * r, L);
    mesh.bottom = {0};
    BodyDynamics body = bar_dynamics(mesh, 0.0);
    const ContactSettings contact{.modulus = E,
                                  .poisson = nu,
                                  .friction = 0.0,
                                  .reference_step = 2.0 / body.body().stable_omega(),
                                  .step_share = 0.2};
    const Index wall = body.add_plates(
        PlateMotion(PlatenContact(mesh, body.body().node_mass(), {lower_platen(mesh)}, contact)));
    for (int i = 0; i <= n; ++i)
        body.set_velocity(i, Vec3(0, 0, -v));
    body.start();
    const double whole = 2.0 * L / c;
    double impulse = 0.0, seconds = 0.0, last_touch = 0.0;
    while (body.time() < 1.5 * whole) {
        body.step();
        const double force = -body.plates(wall).force(0).z();
        if (force > 0.0)
            last_touch = body.time();
        if (body.time() > 0.1 * whole && body.time() < 0.9 * whole) {
            impulse += force * body.last_step();
            seconds += body.last_step();
        }
    }
    const std::string source = "one-dimensional wave theory: stress rho c v for a time 2 L/c";
    add(rows, "beams-dynamic/wall-stress", "mean stress on a rigid wall, bar at 5 m/s", "Pa",
        {.reference = rho * c * v, .computed = impulse / seconds / A, .tolerance = 2e-2}, source);
    add(rows, "beams-dynamic/wall-contact", "length of contact of a bar of 0.1 m", "s",
        {.reference = whole, .computed = last_touch, .tolerance = 3e-2}, source);
    add(rows, "beams-dynamic/wall-rebound", "speed of rebound", "m/s",
        {.reference = v,
         .computed = body.motion().momentum().z() / body.body().total_mass(),
         .tolerance = 2e-2},
        source);
}

void add_release(Rows& rows) {
    constexpr double L = 0.1, strain = 0.01;
    constexpr int n = 100;
    const BeamMesh mesh = chain({{0, 0, 0}, {L, 0, 0}}, n, r);
    const double period = 4.0 * L / c;
    BodyDynamics body = bar_dynamics(mesh, 4.0 * pi / period);
    body.add_group({.nodes = {0}});
    const double released = 6.0 * period;
    body.add_load({.node = n, .force = Vec3(strain * E * A, 0, 0), .factor = [released](double t) {
                       return t < released ? 1.0 : 0.0;
                   }});
    body.start();
    settle(body, released - 10.0 * body.stable_step());
    body.set_damping(0.0);
    double speed = 0.0, seconds = 0.0, last = strain * L, first = 0.0, latest = 0.0;
    int crossings = 0;
    while (crossings < 5) {
        body.step();
        const double t = body.time() - released, moved = position(body, n).x() - L;
        if (t > 0.1 * 0.5 * period && t < 0.9 * 0.5 * period) {
            speed -= body.motion().rates()[n].vx * body.last_step();
            seconds += body.last_step();
        }
        if (last * moved < 0.0) {
            latest = body.time() - body.last_step() * moved / (moved - last);
            first = crossings++ == 0 ? latest : first;
        }
        last = moved;
    }
    const std::string source = "one-dimensional wave theory: release of a pulled bar";
    add(rows, "beams-dynamic/release-period", "period of a bar pulled and let go", "s",
        {.reference = period, .computed = 0.5 * (latest - first), .tolerance = 1e-2}, source);
    add(rows, "beams-dynamic/release-speed", "speed of the free end, sigma/(rho c)", "m/s",
        {.reference = strain * c, .computed = speed / seconds, .tolerance = 1e-2}, source);
}

/// Stretch of one free element after `steps` of a given share of its critical step, in units of
/// the first one. Linear: the stretch stays below 1e-3.
double stretch_after(double share, int steps) {
    constexpr double h = 1e-2, v0 = 1e-9;
    const BeamMesh mesh = chain({{0, 0, 0}, {h, 0, 0}}, 1, r);
    BeamBlock block = make_beam_block(mesh, section_moduli(E, nu));
    const LumpedMass mass = lumped_mass(mesh, block, rho, RotaryRule::RaisedToAxial);
    NodeMotion motion(mesh.nodes, make_node_inertia(mass.mass, mass.inertia));
    motion.set_velocity(0, Vec3(-v0, 0, 0), Vec3::Zero());
    motion.set_velocity(1, Vec3(v0, 0, 0), Vec3::Zero());
    const double dt = share * h / c;
    std::vector<NodeLoad> load(2);
    double first = 0.0, now = 0.0;
    for (int k = 0; k < steps; ++k) {
        if (beam_forces(block, motion.poses(), Vec3::Zero(), 0.0, load, WithEnergy::No) != no_index)
            throw run_error("the free element failed at step {}", k);
        motion.advance(load, {.dt = dt, .dt_next = dt, .half_time = (k + 0.5) * dt}, {});
        now = motion.poses()[1].x - motion.poses()[0].x - h;
        first = k == 0 ? now : first;
    }
    return now / first;
}

void add_step_limit(Rows& rows) {
    constexpr int steps = 40;
    const BeamMesh mesh = chain({{0, 0, 0}, {1e-2, 0, 0}}, 1, r);
    const BeamBody body = round_body(mesh, section_moduli(E, nu), rho, RotaryRule::RaisedToAxial);
    const std::string source = "central differences of x'' = -w^2 x: x_n = x_1 sin(n a)/sin(a), "
                               "cos a = 1 - (w dt)^2/2; w = 2 c/h of a free lumped bar";
    add(rows, "beams-dynamic/critical-step", "critical step of a two-node bar over h/c", "1",
        {.reference = 1.0, .computed = 2.0 / body.stable_omega() * c / 1e-2, .tolerance = 1e-12},
        source);
    const auto theta = [](double share) { return 2.0 * share * share - 1.0; }; // -cos a
    const double below = std::acos(-theta(0.99)), above = std::acosh(theta(1.01));
    // The stretch is a difference of positions of 1e-2 m to 2e-18 m: 4e-7 of the first one.
    add(rows, "beams-dynamic/step-below",
        "stretch of a free bar after 40 steps of 0.99 of the critical one / first", "1",
        {.reference = std::sin(steps * below) / std::sin(below),
         .computed = stretch_after(0.99, steps),
         .tolerance = 1e-3,
         .scale = 1.0 / std::sin(below)},
        source);
    add(rows, "beams-dynamic/step-above",
        "stretch of a free bar after 40 steps of 1.01 of the critical one / first: it blows up",
        "1",
        {.reference = (steps % 2 == 1 ? 1.0 : -1.0) * std::sinh(steps * above) / std::sinh(above),
         .computed = stretch_after(1.01, steps),
         .tolerance = 1e-3},
        source);
}

/// A bent chain thrown, spinning and stretching; worst drift of its conserved sums.
struct Drift {
    double momentum = 0.0, spin = 0.0, energy = 0.0;
};
Drift throw_frame(Index steps) {
    constexpr double l = 10e-3;
    const BeamMesh mesh = chain({{0, 0, 0}, {l, 0, 0}, {l, l, 0}, {l, l, l}}, 6, r);
    BodyDynamics body(mesh.nodes, round_body(mesh, section_moduli(E, nu), rho, RotaryRule::True),
                      {});
    const Vec3 spin(100.0, -300.0, 400.0);
    for (std::size_t i = 0; i < mesh.nodes.size(); ++i) {
        const Vec3 x = mesh.nodes[i];
        body.set_velocity(static_cast<Index>(i),
                          Vec3(2.0, 1.0, -1.0) + spin.cross(x) + Vec3(200.0 * x.x(), 0, 0), spin);
    }
    body.start();
    const Vec3 p = body.motion().momentum(), l0 = body.motion().angular_momentum();
    const double start = energies(body).accounted();
    Drift worst;
    while (body.steps() < steps) {
        for (int k = 0; k < 7; ++k)
            body.step();
        worst.energy = std::max(worst.energy, std::abs(energies(body).accounted() / start - 1.0));
        worst.momentum = std::max(worst.momentum, (body.motion().momentum() - p).norm() / p.norm());
        worst.spin =
            std::max(worst.spin, (body.motion().angular_momentum() - l0).norm() / l0.norm());
    }
    return worst;
}

void add_free_flight(Rows& rows, Index steps) {
    const Drift drift = throw_frame(steps);
    const std::string id = fmt::format("beams-dynamic/flight-{}", steps);
    const std::string what =
        fmt::format(" of a thrown, spinning, vibrating frame, {} steps", steps);
    const std::string source = "conservation laws of a free body";
    add(rows, id + "-momentum", "drift of linear momentum" + what, "1",
        {.computed = drift.momentum, .tolerance = 1e-10, .scale = 1.0}, source);
    add(rows, id + "-angular", "drift of angular momentum" + what, "1",
        {.computed = drift.spin, .tolerance = 1e-8, .scale = 1.0}, source);
    add(rows, id + "-energy", "drift of energy" + what, "1",
        {.computed = drift.energy, .tolerance = 1e-3, .scale = 1.0}, source);
}

/// A beam in the plane, pushed and turned at its lower end for 2.5 s, then free.
void add_flying_beam(Rows& rows, double end_s) {
    constexpr int n = 10;
    constexpr double pushed = 2.5;
    const BeamMesh mesh = chain({{6, 0, 0}, {0, 8, 0}}, n);
    const Section section{
        .EA = 1e4, .kGA = 1e4, .GJ = 100.0, .EI = 100.0, .mass = 1.0, .polar = 20.0, .bend = 10.0};
    BodyDynamics body(mesh.nodes, section_body(mesh, section, RotaryRule::True),
                      {.step_cap_s = 5e-4});
    body.add_load(
        {.node = 0, .force = Vec3(8, 0, 0), .moment = Vec3(0, 0, -80), .factor = [](double t) {
             return t < pushed ? 1.0 : 0.0;
         }});
    body.start();
    const double mass = body.body().total_mass();
    const auto centre = [&] {
        Vec3 sum = Vec3::Zero();
        for (Index i = 0; i <= n; ++i)
            sum += body.body().node_mass()[i] / mass * position(body, i);
        return sum;
    };
    // Momenta belong to the half step and the centre to the step: the product of both
    // lags by dt/2.
    const auto spin = [&] {
        const Vec3 p = body.motion().momentum();
        const Vec3 half = centre() - 0.5 * body.last_step() / mass * p;
        return (body.motion().angular_momentum() - half.cross(p)).z();
    };
    const Vec3 start = centre();
    double largest = 0.0, closure = 0.0;
    while (body.time() < pushed)
        body.step();
    const double shift = centre().x() - start.x(), at = body.time();
    double momentum = 0.0, across = 0.0, turning = 0.0, energy_drift = 0.0;
    const double U0 = energies(body).accounted(), L0 = spin();
    while (body.time() < end_s) {
        for (int k = 0; k < 20; ++k)
            body.step();
        const EnergyLedger now = energies(body);
        closure = std::max(closure, now.closure(largest));
        energy_drift = std::max(energy_drift, std::abs(now.accounted() / U0 - 1.0));
        momentum = std::max(momentum, std::abs(body.motion().momentum().x() - 20.0));
        across = std::max(across, std::abs(body.motion().momentum().y()));
        turning = std::max(turning, std::abs(spin() / L0 - 1.0));
    }
    const std::string id = fmt::format("beams-dynamic/flying-beam-{:g}s", end_s);
    const std::string source =
        "Simo & Vu-Quoc (1986), Comput. Meth. Appl. Mech. Eng. 58, 79; conservation laws";
    const auto row = [&](const char* name, const char* quantity, const Check& check) {
        add(rows, id + name, quantity, "1", check, source);
    };
    // The load ends within a step of 2.5 s: 8 N x 0.5 ms of 20 N s.
    row("-momentum", "worst error of momentum 20 N s after the push / 20",
        {.computed = momentum / 20.0, .tolerance = 1e-3, .scale = 1.0});
    row("-across", "momentum across the push / 20",
        {.computed = across / 20.0, .tolerance = 1e-10, .scale = 1.0});
    row("-shift", "shift of the centre of mass at the end of the push [m]",
        {.reference = 0.4 * at * at, .computed = shift, .tolerance = 1e-3});
    row("-spin", "drift of angular momentum about the centre of mass",
        {.computed = turning, .tolerance = 1e-8, .scale = 1.0});
    row("-energy", "drift of energy after the push",
        {.computed = energy_drift, .tolerance = 1e-3, .scale = 1.0});
    row("-closure", "energy balance, defect / largest energy",
        {.computed = closure, .tolerance = 1e-3, .scale = 1.0});
}

/// A hinge turns up to 6 rad/s in 15 s; afterwards the beam only stretches.
void add_spin_up(Rows& rows) {
    constexpr int n = 10;
    constexpr double L = 10.0, ramp = 15.0;
    const Section section{.EA = 2.8e7,
                          .kGA = 1e7,
                          .GJ = 1.4e4,
                          .EI = 1.4e4,
                          .mass = 1.2,
                          .polar = 1.2e-3,
                          .bend = 6e-4};
    const BeamMesh mesh = chain({{0, 0, 0}, {L, 0, 0}}, n);
    // Rotary inertia is raised: it is no part of the answer and would cut the step to a tenth.
    BodyDynamics body(mesh.nodes, section_body(mesh, section, RotaryRule::RaisedToAxial), {});
    body.add_group({.nodes = {0}, .rate = [](double t) {
                        const double w =
                            0.4 * (t - ramp / (2.0 * pi) * std::sin(2.0 * pi * t / ramp));
                        return GroupRate{.spin = (t < ramp ? w : 6.0) * Vec3::UnitZ()};
                    }});
    body.start();
    while (body.time() < ramp)
        body.step();
    const double turned = turn_about(body, 0, 2) - 6.0 * (body.time() - ramp);
    double reach = 0.0, lag = 0.0, seconds = 0.0;
    while (body.time() < ramp + 6.0) {
        body.step();
        const double hinge = 6.0 * body.time() - 45.0;
        const Vec3 tip = position(body, n);
        reach += body.last_step() * (tip.x() * std::cos(hinge) + tip.y() * std::sin(hinge) - L);
        lag += body.last_step() * (tip.y() * std::cos(hinge) - tip.x() * std::sin(hinge));
        seconds += body.last_step();
    }
    const double a = 6.0 * L * std::sqrt(section.mass / section.EA);
    const std::string source = "Simo & Vu-Quoc (1986), J. Appl. Mech. 53, 849; rod in rotation, "
                               "u = L (tan a/a - 1), a = w L sqrt(rho A/EA)";
    add(rows, "beams-dynamic/spin-up-angle", "angle of the hinge at 15 s, less 14 pi", "rad",
        {.reference = 45.0 - 14.0 * pi, .computed = turned, .tolerance = 1e-5}, source);
    add(rows, "beams-dynamic/spin-up-extension", "mean axial extension of the tip after 15 s", "m",
        {.reference = L * (std::tan(a) / a - 1.0), .computed = reach / seconds, .tolerance = 2e-2},
        source);
    add(rows, "beams-dynamic/spin-up-lag",
        "mean transverse offset of the tip after 15 s (its peak before is about 0.5 m)", "m",
        {.reference = 0.0, .computed = lag / seconds, .tolerance = 2e-2, .scale = 0.5}, source);
}

void add_drop_mass(Rows& rows) {
    constexpr double m = 5.0, v = 6.2, k = 250e3;
    const BeamMesh mesh = chain({{0, 0, 0}, {1, 0, 0}}, 1);
    const Section spring{
        .EA = k, .kGA = 0.5 * k, .GJ = 1.0, .EI = 1.0, .mass = 2.0 * m, .polar = 1.0, .bend = 1.0};
    BodyDynamics body(mesh.nodes, section_body(mesh, spring, RotaryRule::True),
                      {.step_cap_s = 1e-5});
    body.add_group({.nodes = {0}});
    body.set_velocity(1, Vec3(-v, 0, 0));
    body.start();
    double peak = 0.0, stroke = 0.0, last = 0.0, end = 0.0;
    while (end == 0.0) {
        body.step();
        const double moved = 1.0 - position(body, 1).x();
        stroke = std::max(stroke, moved);
        peak = std::max(peak, body.motion().reaction(0).force.x());
        if (last > 0.0 && moved <= 0.0)
            end = body.time() - body.last_step() * moved / (moved - last);
        last = moved;
    }
    const double omega = std::sqrt(k / m);
    const std::string source = "harmonic motion: v sqrt(k/m), v sqrt(m/k), pi sqrt(m/k)";
    add(rows, "beams-dynamic/drop-peak", "peak deceleration of 5 kg at 6.2 m/s on 250 N/mm", "g",
        {.reference = v * omega / g0, .computed = peak / m / g0, .tolerance = 1e-3}, source);
    add(rows, "beams-dynamic/drop-stroke", "stroke of the same drop", "m",
        {.reference = v / omega, .computed = stroke, .tolerance = 1e-3}, source);
    add(rows, "beams-dynamic/drop-contact", "length of contact of the same drop", "s",
        {.reference = pi / omega, .computed = end, .tolerance = 1e-3}, source);
}

} // namespace

std::vector<VerificationRow> verify_beams_dynamic() {
    Rows rows;
    add_wall_impact(rows);
    add_release(rows);
    add_step_limit(rows);
    add_free_flight(rows, 10000);
    add_flying_beam(rows, 7.5);
    add_spin_up(rows);
    add_drop_mass(rows);
    return rows;
}

std::vector<VerificationRow> verify_long_flights() {
    Rows rows;
    add_free_flight(rows, 100000);
    add_flying_beam(rows, 50.0);
    return rows;
}

} // namespace cellgrade
