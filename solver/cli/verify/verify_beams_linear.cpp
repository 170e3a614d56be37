// SPDX-License-Identifier: Apache-2.0
// Problem    deflection of straight struts, a bent strut, a thin ring and a twisted strut; axial
// and
//            torsional vibration; rigid motion. Explicit dynamics, brought to rest by damping.
// Exact      textbook formulae of small deflections, each named in its row.
// Tolerance  loads are a hundredth of those of the reference list, which keeps the large-rotation
//            remainder (P L^2/EI = 0.004)^2 below 2e-5. The element's one-point rule leaves
//            1/(4 n^2) on a cantilever of n elements: 0.04 % for 24, and 4/n^2 = 0.1 % for 64
//            over a clamped-clamped strut, which is four cantilevers of n/4.
#include "solver/cli/verify/known_beams.hpp"
#include "solver/elements/beam_forces.hpp"

#include <fmt/format.h>

#include <Eigen/Geometry>

#include <cmath>
#include <numbers>

namespace cellgrade {

namespace {

using namespace known_beams;
constexpr double pi = std::numbers::pi;

// The standard strut of these rows.
constexpr double r = 0.5e-3, L = 10e-3, E = 50e6, nu = 0.45, rho = 1200.0;
constexpr double A = pi * r * r, I = 0.25 * A * r * r, J = 2.0 * I, G = 0.5 * E / (1.0 + nu);

BodyDynamics strut_dynamics(const BeamMesh& mesh, double lowest_Hz, RotaryRule rule) {
    return {mesh.nodes, round_body(mesh, section_moduli(E, nu), rho, rule),
            DynamicsSettings{.damping_per_s = 4.0 * pi * lowest_Hz}};
}

void add_cantilever(Rows& rows) {
    constexpr double P = 1e-4;
    constexpr int n = 24;
    const double kGA = cowper_shear_factor(nu) * G * A;
    const BeamMesh mesh = chain({{0, 0, 0}, {L, 0, 0}}, n, r);
    BodyDynamics body = strut_dynamics(mesh, 285.0, RotaryRule::RaisedToAxial);
    body.add_group({.nodes = {0}});
    body.add_load({.node = n, .force = Vec3(0, 0, -P)});
    body.start();
    settle(body, 8.0 / 285.0);
    const std::string source = "Timoshenko beam theory; shear factor of Cowper (1966), "
                               "J. Appl. Mech. 33, 335";
    add(rows, "beams-linear/cantilever-deflection", "tip deflection, P = 1e-4 N on the STD strut",
        "m",
        {.reference = P * L * L * L / (3.0 * E * I) + P * L / kGA,
         .computed = -position(body, n).z(),
         .tolerance = 1e-3},
        source);
    add(rows, "beams-linear/cantilever-slope", "tip slope, P = 1e-4 N on the STD strut", "rad",
        {.reference = P * L * L / (2.0 * E * I),
         .computed = turn_about(body, n, 1),
         .tolerance = 1e-3},
        source);
    add(rows, "beams-linear/cantilever-moment", "moment of the clamp, P = 1e-4 N", "N m",
        {.reference = P * L, .computed = -body.motion().reaction(0).moment.y(), .tolerance = 1e-4},
        "balance of moments");
}

/// A strut with one more support at its far end and the load at a node, read there.
struct Span {
    std::string id, what;
    unsigned near_end, far_end;
    Index loaded; // of 64 elements
    double lowest_Hz, reference;
};

void add_spans(Rows& rows) {
    constexpr double P = 1e-4;
    constexpr int n = 64;
    const double kGA = cowper_shear_factor(nu) * G * A, bend = P * L * L * L / (E * I);
    const unsigned hinge = fix_translations;
    for (const Span& span : {Span{"guided", "clamped-guided, load at the guided end", fix_all,
                                  fix_rotations, n, 285.0, bend / 12.0 + P * L / kGA},
                             Span{"clamped", "clamped-clamped, load at the middle", fix_all,
                                  fix_all, n / 2, 1700.0, bend / 192.0 + P * L / (4.0 * kGA)},
                             Span{"supported", "simply supported, load at the middle", hinge, hinge,
                                  n / 2, 790.0, bend / 48.0 + P * L / (4.0 * kGA)}}) {
        const BeamMesh mesh = chain({{0, 0, 0}, {L, 0, 0}}, n, r);
        BodyDynamics body = strut_dynamics(mesh, span.lowest_Hz, RotaryRule::RaisedToAxial);
        hold_in_plane(body, mesh, 1);
        body.add_group({.nodes = {0}, .freedoms = span.near_end});
        body.add_group({.nodes = {n}, .freedoms = span.far_end});
        body.add_load({.node = span.loaded, .force = Vec3(0, 0, -P)});
        body.start();
        settle(body, 8.0 / span.lowest_Hz);
        add(rows, "beams-linear/span-" + span.id, "deflection at the load, STD strut " + span.what,
            "m",
            {.reference = span.reference,
             .computed = -position(body, span.loaded).z(),
             .tolerance = 2e-3},
            "Timoshenko beam theory");
    }
}

void add_twist(Rows& rows) {
    constexpr double T = 1e-5;
    constexpr int n = 12;
    const BeamMesh mesh = chain({{0, 0, 0}, {0, L, 0}}, n, r);
    BodyDynamics body = strut_dynamics(mesh, 2990.0, RotaryRule::True);
    body.add_group({.nodes = {0}});
    body.add_load({.node = n, .moment = Vec3(0, T, 0)});
    body.start();
    settle(body, 8.0 / 2990.0);
    // Elements are uniform in twist: exact, so only the rest of the motion counts.
    add(rows, "beams-linear/twist", "tip twist, torque 1e-5 N m on the STD strut", "rad",
        {.reference = T * L / (G * J), .computed = turn_about(body, n, 1), .tolerance = 1e-4},
        "Saint-Venant torsion, J = pi r^4 / 2 of a circle");
}

void add_bent_cantilever(Rows& rows) {
    constexpr double P = 1e-4;
    constexpr int n = 24;
    const BeamMesh mesh = chain({{0, 0, 0}, {L, 0, 0}, {L, L, 0}}, n, r);
    BodyDynamics body = strut_dynamics(mesh, 90.0, RotaryRule::RaisedToAxial);
    body.add_group({.nodes = {0}});
    body.add_load({.node = 2 * n, .force = Vec3(0, 0, -P)});
    body.start();
    settle(body, 8.0 / 90.0);
    const double kGA = cowper_shear_factor(nu) * G * A;
    const double shear = 2.0 * P * L / kGA; // 0.2 % of the deflection
    add(rows, "beams-linear/bent-cantilever",
        "tip deflection out of plane of two STD struts at a right angle, P = 1e-4 N", "m",
        {.reference = P * L * L * L * (2.0 / (3.0 * E * I) + 1.0 / (G * J)) + shear,
         .computed = -position(body, 2 * n).z(),
         .tolerance = 1e-3},
        "unit-load method: 2 P L^3/3EI + P L^3/GJ + 2 P L/(kappa G A)");
}

/// A quarter of the ring between its planes of symmetry; nodes on the circle.
void add_ring(Rows& rows) {
    constexpr int n = 48;
    constexpr double R = 1.0, F = 1e-3;
    const Section thin{.EA = 1e5, .kGA = 0.5e5, .GJ = 1.0, .EI = 1.0};
    BeamMesh mesh = chain({{0, 0, R}, {R, 0, 0}}, n);
    for (int i = 0; i <= n; ++i)
        mesh.nodes[i] = R * Vec3(std::sin(0.5 * pi * i / n), 0.0, std::cos(0.5 * pi * i / n));
    BodyDynamics body(mesh.nodes, section_body(mesh, thin, RotaryRule::RaisedToAxial),
                      {.damping_per_s = 2.0 * 2.68}); // (36/5)^(1/2), the ring's oval mode
    hold_in_plane(body, mesh, 1);
    body.add_group({.nodes = {0}, .freedoms = fix_x | fix_rotations});
    body.add_group({.nodes = {n}, .freedoms = fix_z | fix_rotations});
    body.add_load({.node = 0, .force = Vec3(0, 0, -0.5 * F)});
    body.start();
    settle(body, 16.0);
    const std::string source = "Timoshenko, Strength of Materials: thin ring under opposite loads";
    const double unit = F * R * R * R / thin.EI;
    add(rows, "beams-linear/ring-closing", "closing of the loaded diameter / (F R^3/EI)", "1",
        {.reference = pi / 4.0 - 2.0 / pi,
         .computed = 2.0 * (R - position(body, 0).z()) / unit,
         .tolerance = 5e-3},
        source);
    add(rows, "beams-linear/ring-growth", "growth of the other diameter / (F R^3/EI)", "1",
        {.reference = 2.0 / pi - 0.5,
         .computed = 2.0 * (position(body, n).x() - R) / unit,
         .tolerance = 5e-3},
        source);
    add(rows, "beams-linear/ring-moment", "moment under the load / (F R)", "1",
        {.reference = 1.0 / pi,
         .computed = std::abs(body.motion().reaction(1).moment.y()) / (F * R),
         .tolerance = 5e-3},
        source);
}

/// Fundamental frequency from the times at which the tip passes through rest.
struct FreeVibration {
    std::string id, what;
    Vec3 velocity, spin; // at the tip; a quarter sine along the strut
    double reference_Hz;
};

void add_frequencies(Rows& rows) {
    constexpr int n = 24, periods = 5;
    const std::string source = "wave equation, quarter wave of a fixed-free strut";
    for (const FreeVibration& v : {FreeVibration{"axial", "axial", 1e-3 * Vec3::UnitX(),
                                                 Vec3::Zero(), std::sqrt(E / rho) / (4.0 * L)},
                                   FreeVibration{"torsional", "torsional", Vec3::Zero(),
                                                 Vec3::UnitX(), std::sqrt(G / rho) / (4.0 * L)}}) {
        const BeamMesh mesh = chain({{0, 0, 0}, {L, 0, 0}}, n, r);
        BodyDynamics body(mesh.nodes,
                          round_body(mesh, section_moduli(E, nu), rho, RotaryRule::True), {});
        body.add_group({.nodes = {0}});
        for (int i = 0; i <= n; ++i) {
            const double s = std::sin(0.5 * pi * i / n);
            body.set_velocity(i, s * v.velocity, s * v.spin);
        }
        body.start();
        const auto moved = [&] {
            return v.spin.isZero() ? position(body, n).x() - L : turn_about(body, n, 0);
        };
        double last = 0.0, crossing = 0.0;
        for (int found = 0; found < 2 * periods;) {
            body.step();
            const double now = moved();
            if (last * now < 0.0) {
                crossing = body.time() - body.last_step() * now / (now - last);
                ++found;
            }
            last = now;
        }
        // Lumped masses leave (k h)^2/24 = 2e-4, the time step gives part of it back.
        add(rows, "beams-linear/frequency-" + v.id,
            "lowest " + v.what + " frequency of the STD strut, fixed-free", "Hz",
            {.reference = v.reference_Hz, .computed = periods / crossing, .tolerance = 1e-3},
            source);
    }
}

/// Residual force after a shift and a quarter turn of a bent chain, over EA: rounding only.
void add_rigid_motion(Rows& rows) {
    const BeamMesh mesh = chain({{0, 0, 0}, {L, 0, 0}, {L, L, 0}, {L, L, L}}, 7, r);
    BeamBlock block = make_beam_block(mesh, section_moduli(E, nu));
    const Eigen::Quaterniond turn(Eigen::AngleAxisd(0.5 * pi, Vec3(1.0, -2.0, 0.5).normalized()));
    const Eigen::Quaterniond none = Eigen::Quaterniond::Identity();
    for (const auto& [id, q] : {std::pair{"shift", none}, std::pair{"turn", turn}}) {
        std::vector<NodePose> poses;
        for (const Vec3& node : mesh.nodes) {
            const Vec3 x = q * node + Vec3(0.3, -0.2, 0.1) * L;
            poses.push_back({x.x(), x.y(), x.z(), q.w(), q.x(), q.y(), q.z(), 0.0});
        }
        std::vector<NodeLoad> slots(static_cast<std::size_t>(block.n_slots()));
        double worst =
            beam_forces(block, poses, Vec3::Zero(), 0.0, slots, WithEnergy::No) == no_index
                ? 0.0
                : std::nan("");
        for (const NodeLoad& f : slots)
            worst = std::max({worst, std::abs(f.fx), std::abs(f.fy), std::abs(f.fz),
                              std::abs(f.mx) / L, std::abs(f.my) / L, std::abs(f.mz) / L});
        add(rows, fmt::format("beams-linear/rigid-{}", id),
            fmt::format("largest residual force over EA after a rigid {} of a bent chain", id), "1",
            {.computed = worst / (E * A), .tolerance = 1e-10, .scale = 1.0},
            "frame indifference: a rigid motion strains nothing");
    }
}

} // namespace

std::vector<VerificationRow> verify_beams_linear() {
    Rows rows;
    add_cantilever(rows);
    add_spans(rows);
    add_twist(rows);
    add_bent_cantilever(rows);
    add_ring(rows);
    add_frequencies(rows);
    add_rigid_motion(rows);
    return rows;
}

} // namespace cellgrade
