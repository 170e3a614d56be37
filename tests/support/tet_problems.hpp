// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "tests/support/tet_meshes.hpp"
#include "tests/support/tet_statics.hpp"

#include <numbers>
#include <vector>

/// Problems with known answers for solids, shared by the verification cases and the benchmark that
/// compares elements. Units are those of the problem.
namespace cellgrade::test {

struct Problem {
    TetMesh mesh;
    Support support;
};

/// Nodes with |X - at| below 1e-9 of the mesh in the axes where `at` is not NaN.
template <class Accept>
std::vector<Index> nodes_where(const TetMesh& mesh, Accept accept) {
    std::vector<Index> found;
    for (std::size_t n = 0; n < mesh.nodes.size(); ++n)
        if (accept(mesh.nodes[n]))
            found.push_back(static_cast<Index>(n));
    return found;
}

inline bool near(double a, double b) {
    return std::abs(a - b) < 1e-6;
}

/// Cook's membrane: corners (0, 0) (48, 44) (48, 60) (0, 44), clamped at x = 0, total load 100 in
/// +y spread over x = 48; plane strain, one layer of n by n cells, 48/n thick.
inline Problem cook(int n) {
    const double t = 48.0 / n;
    TetMesh mesh = draw_out(unit_square(n, n), even_heights(1, t));
    move_corners(mesh, [](const Vec3& X) {
        const double low = 44.0 * X.x(), high = 44.0 + 16.0 * X.x();
        return Vec3(48.0 * X.x(), low + X.y() * (high - low), X.z());
    });
    Support support(mesh.nodes.size());
    for (std::size_t i = 0; i < mesh.nodes.size(); ++i) {
        support.fix(static_cast<Index>(i), 2);
        if (near(mesh.nodes[i].x(), 0.0))
            for (int axis = 0; axis < 2; ++axis)
                support.fix(static_cast<Index>(i), axis);
    }
    add_traction(support, mesh, Vec3(0.0, 100.0 / 16.0, 0.0),
                 [](const Vec3& X) { return near(X.x(), 48.0); });
    return {std::move(mesh), std::move(support)};
}

/// Component of the displacement at (x, y), mean over the nodes through the thickness.
inline double
displacement_at(const TetMesh& mesh, const std::vector<double>& u, double x, double y, int axis) {
    double sum = 0.0;
    const std::vector<Index> nodes =
        nodes_where(mesh, [&](const Vec3& X) { return near(X.x(), x) && near(X.y(), y); });
    for (const Index n : nodes)
        sum += u[3 * n + axis];
    return sum / static_cast<double>(nodes.size());
}

/// Round strut, r = 0.5, L = 10, clamped at z = 0, unit transverse force spread over z = L; n rings
/// (2 n elements across), n_along layers.
inline Problem strut(int n, int n_along) {
    constexpr double r = 0.5, L = 10.0;
    TetMesh mesh = round_bar(unit_disc(n), even_heights(n_along, L), r);
    Support support(mesh.nodes.size());
    for (const Index node : nodes_where(mesh, [](const Vec3& X) { return near(X.z(), 0.0); }))
        for (int axis = 0; axis < 3; ++axis)
            support.fix(node, axis);
    const auto tip = [&](const Vec3& X) { return near(X.z(), L); };
    add_traction(support, mesh, Vec3(1.0, 0.0, 0.0), tip);
    double total = 0.0;
    for (std::size_t i = 0; i < support.load.size(); i += 3)
        total += support.load[i];
    for (double& f : support.load)
        f /= total;
    return {std::move(mesh), std::move(support)};
}

/// Tip deflection of the strut by Timoshenko under a unit force, P L^3/(3 E I) + P L/(kappa G A).
inline double timoshenko_tip(double youngs, double poisson) {
    constexpr double r = 0.5, L = 10.0, pi = std::numbers::pi;
    const double A = pi * r * r, I = 0.25 * pi * r * r * r * r;
    const double G = youngs / (2.0 * (1.0 + poisson));
    const double kappa = 6.0 * (1.0 + poisson) / (7.0 + 6.0 * poisson);
    return L * L * L / (3.0 * youngs * I) + L / (kappa * G * A);
}

/// Mean displacement of the end z = L of the strut along x.
inline double strut_tip(const TetMesh& mesh, const std::vector<double>& u) {
    const std::vector<Index> axis = nodes_where(mesh, [](const Vec3& X) {
        return near(X.z(), 10.0) && near(X.x(), 0.0) && near(X.y(), 0.0);
    });
    return u[3 * axis.at(0)];
}

/// Upper half of a cylinder of diameter 1 and height H between plates, pressed by `shortening`
/// (of the whole height); bonded or sliding without friction. Rings and layers are closer at the
/// edge, where a bonded plate makes the stress steep.
enum class Plates { Bonded, Sliding };
inline Problem pressed_cylinder(double H, int n, int n_along, double shortening, Plates plates) {
    const auto graded = [](double s) { return 1.0 - std::pow(1.0 - s, 1.5); };
    std::vector<double> z;
    for (int i = 0; i <= n_along; ++i)
        z.push_back(0.5 * H * graded(double(i) / n_along));
    TetMesh mesh = round_bar(unit_disc(n, [&](int k) { return graded(double(k) / n); }), z, 0.5);
    Support support(mesh.nodes.size());
    for (std::size_t i = 0; i < mesh.nodes.size(); ++i) {
        const auto node = static_cast<Index>(i);
        const Vec3& X = mesh.nodes[i];
        if (near(X.z(), 0.0))
            support.fix(node, 2);
        if (near(X.z(), 0.5 * H)) {
            support.fix(node, 2, -0.5 * shortening);
            if (plates == Plates::Bonded) {
                support.fix(node, 0);
                support.fix(node, 1);
            }
        }
        if (plates == Plates::Sliding && near(X.x(), 0.0) && near(X.y(), 0.0)) {
            support.fix(node, 0);
            support.fix(node, 1);
        }
        if (plates == Plates::Sliding && near(X.y(), 0.0) && X.x() > 0.499)
            support.fix(node, 1);
    }
    return {std::move(mesh), std::move(support)};
}

/// Compressive force of the upper plate over the area pi/4.
inline double plate_stress(const TetMesh& mesh, const std::vector<double>& reaction, double H) {
    double force = 0.0;
    for (const Index n : nodes_where(mesh, [&](const Vec3& X) { return near(X.z(), 0.5 * H); }))
        force -= reaction[3 * n + 2];
    return force / (0.25 * std::numbers::pi);
}

/// K u of all elements.
inline std::vector<double>
reactions(const TetMesh& mesh, const std::vector<Mat30>& K, const std::vector<double>& u) {
    std::vector<double> f(u.size(), 0.0);
    for (std::size_t e = 0; e < mesh.tets.size(); ++e) {
        Eigen::Matrix<double, 30, 1> own;
        for (int i = 0; i < 30; ++i)
            own[i] = u[3 * mesh.tets[e][i / 3] + i % 3];
        own = K[e] * own;
        for (int i = 0; i < 30; ++i)
            f[3 * mesh.tets[e][i / 3] + i % 3] += own[i];
    }
    return f;
}

} // namespace cellgrade::test
