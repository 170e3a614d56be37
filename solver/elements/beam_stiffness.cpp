// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/beam_stiffness.hpp"

#include <Eigen/Geometry>

#include <array>
#include <cmath>
#include <numbers>

namespace cellgrade {

namespace {

using Mat4 = Eigen::Matrix4d;
using Vec4 = Eigen::Vector4d;

struct Section {
    double area;
    double inertia; ///< second moment about a diameter
};

Section round_section(double radius) {
    const double area = std::numbers::pi * radius * radius;
    return {.area = area, .inertia = 0.25 * area * radius * radius};
}

double shear_flexibility(const Section& s, double length, const SectionModuli& m) {
    return 12.0 * m.youngs * s.inertia / (m.shear_factor * m.shear * s.area * length * length);
}

/// Deflection, its slope and rotation of the section at xi, over (w_a, theta_a, w_b, theta_b).
struct BendingShape {
    Vec4 w;
    Vec4 slope;
    Vec4 theta;
};

BendingShape bending_shape(double xi, double length, double Phi) {
    const double L = length, x = xi, x2 = xi * xi, x3 = xi * xi * xi;
    const double f = 1.0 / (1.0 + Phi);
    BendingShape shape;
    shape.w << 1 - 3 * x2 + 2 * x3 + Phi * (1 - x), L * (x - 2 * x2 + x3 + 0.5 * Phi * (x - x2)),
        3 * x2 - 2 * x3 + Phi * x, L * (x3 - x2 + 0.5 * Phi * (x2 - x));
    shape.slope << (6 * (x2 - x) - Phi) / L, 1 - 4 * x + 3 * x2 + 0.5 * Phi * (1 - 2 * x),
        (6 * (x - x2) + Phi) / L, 3 * x2 - 2 * x + 0.5 * Phi * (2 * x - 1);
    shape.theta << 6 * (x2 - x) / L, 1 - 4 * x + 3 * x2 + Phi * (1 - x), 6 * (x - x2) / L,
        3 * x2 - 2 * x + Phi * x;
    shape.w *= f;
    shape.slope *= f;
    shape.theta *= f;
    return shape;
}

/// Four Gauss points on [0, 1]: exact for the products of cubics met here (degree 6).
constexpr std::array<std::array<double, 2>, 4> gauss_4 = {{
    {0.06943184420297371, 0.17392742256872693},
    {0.33000947820757187, 0.32607257743127307},
    {0.66999052179242813, 0.32607257743127307},
    {0.93056815579702629, 0.17392742256872693},
}};

/// Adds a bending matrix over (w_a, theta_a, w_b, theta_b) to both bending planes of the beam. In
/// the x-z plane a positive rotation about y turns the axis towards -z, hence the sign.
void add_bending(const Mat4& plane, Mat12& local) {
    constexpr std::array<int, 4> xy = {1, 5, 7, 11};
    constexpr std::array<int, 4> xz = {2, 4, 8, 10};
    constexpr std::array<double, 4> sign = {1.0, -1.0, 1.0, -1.0};
    for (int i = 0; i < 4; ++i)
        for (int j = 0; j < 4; ++j) {
            local(xy[i], xy[j]) += plane(i, j);
            local(xz[i], xz[j]) += sign[i] * sign[j] * plane(i, j);
        }
}

/// Adds f [[a, b], [b, a]] to a pair of like degrees of freedom of the two ends.
void add_pair(int dof, double same, double other, Mat12& local) {
    local(dof, dof) += same;
    local(dof + 6, dof + 6) += same;
    local(dof, dof + 6) += other;
    local(dof + 6, dof) += other;
}

/// Rows are the axes of the beam; any turn about its own axis will do, since the section is round.
Mat3 beam_axes(const Vec3& axis) {
    const Vec3 x = axis.normalized();
    int least = 0;
    x.cwiseAbs().minCoeff(&least);
    const Vec3 y = Vec3::Unit(least).cross(x).normalized();
    Mat3 axes;
    axes.row(0) = x;
    axes.row(1) = y;
    axes.row(2) = x.cross(y);
    return axes;
}

Mat12 to_global(const Mat12& local, const Vec3& axis) {
    const Mat3 R = beam_axes(axis);
    Mat12 turned;
    for (int i = 0; i < 4; ++i)
        for (int j = 0; j < 4; ++j)
            turned.block<3, 3>(3 * i, 3 * j).noalias() =
                R.transpose() * local.block<3, 3>(3 * i, 3 * j) * R;
    return turned;
}

} // namespace

Mat12 beam_stiffness(const Vec3& axis, double radius, const SectionModuli& moduli) {
    const double L = axis.norm();
    const Section s = round_section(radius);
    const double Phi = shear_flexibility(s, L, moduli);
    const double EI = moduli.youngs * s.inertia;
    Mat12 local = Mat12::Zero();
    const double axial = moduli.youngs * s.area / L;
    const double torsion = moduli.shear * 2.0 * s.inertia / L;
    add_pair(0, axial, -axial, local);
    add_pair(3, torsion, -torsion, local);
    Mat4 plane;
    plane << 12, 6 * L, -12, 6 * L,                          //
        6 * L, (4 + Phi) * L * L, -6 * L, (2 - Phi) * L * L, //
        -12, -6 * L, 12, -6 * L,                             //
        6 * L, (2 - Phi) * L * L, -6 * L, (4 + Phi) * L * L;
    add_bending(plane * (EI / ((1.0 + Phi) * L * L * L)), local);
    return to_global(local, axis);
}

Mat12 beam_one_point_stiffness(const Vec3& axis, double radius, const SectionModuli& moduli) {
    const double h = axis.norm();
    const Section s = round_section(radius);
    const Mat3 R = beam_axes(axis);
    Mat3 cross; // axis x
    cross << 0.0, -axis.z(), axis.y(), axis.z(), 0.0, -axis.x(), -axis.y(), axis.x(), 0.0;
    Eigen::Matrix<double, 3, 12> strain, bend;
    strain << -R, 0.5 * R * cross, R, 0.5 * R * cross;
    bend << Mat3::Zero(), -R, Mat3::Zero(), R;
    const double kGA = moduli.shear_factor * moduli.shear * s.area;
    const double EI = moduli.youngs * s.inertia;
    const Vec3 section(moduli.youngs * s.area, kGA, kGA);
    const Vec3 turning(2.0 * moduli.shear * s.inertia, EI, EI);
    return (strain.transpose() * section.asDiagonal() * strain +
            bend.transpose() * turning.asDiagonal() * bend) /
           h;
}

Mat12 beam_geometric_stiffness(const Vec3& axis,
                               double radius,
                               const SectionModuli& moduli,
                               double axial_force) {
    const double L = axis.norm();
    const double Phi = shear_flexibility(round_section(radius), L, moduli);
    Mat4 plane = Mat4::Zero();
    for (const auto& [xi, weight] : gauss_4) {
        const BendingShape n = bending_shape(xi, L, Phi);
        plane += weight * L *
                 (n.slope * n.theta.transpose() + n.theta * n.slope.transpose() -
                  n.theta * n.theta.transpose());
    }
    Mat12 local = Mat12::Zero();
    add_bending(plane * axial_force, local);
    return to_global(local, axis);
}

Mat12 beam_consistent_mass(const Vec3& axis,
                           double radius,
                           const SectionModuli& moduli,
                           double density) {
    const double L = axis.norm();
    const Section s = round_section(radius);
    const double Phi = shear_flexibility(s, L, moduli);
    Mat4 plane = Mat4::Zero();
    for (const auto& [xi, weight] : gauss_4) {
        const BendingShape n = bending_shape(xi, L, Phi);
        plane += weight * L * density *
                 (s.area * n.w * n.w.transpose() + s.inertia * n.theta * n.theta.transpose());
    }
    Mat12 local = Mat12::Zero();
    const double m = density * s.area * L;
    const double j = density * 2.0 * s.inertia * L;
    add_pair(0, m / 3.0, m / 6.0, local);
    add_pair(3, j / 3.0, j / 6.0, local);
    add_bending(plane, local);
    return to_global(local, axis);
}

} // namespace cellgrade
