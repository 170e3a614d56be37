// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/contact/surface_contact.hpp"
#include "solver/core/error.hpp"
#include "tests/unit/contact/surface_meshes.hpp"

#include <cmath>
#include <vector>

namespace cellgrade::test {

/// Flying walls of point masses and linear bars, carried by the central difference rule: as much of
/// a body as contact needs. Each wall is two sheets of n x n elements, one wall thickness apart,
/// with bars along all edges of the triangles, through the thickness and across.
struct SpringWalls {
    struct Bar {
        Index a = 0, b = 0;
        double length = 0.0, stiffness = 0.0;
    };

    TetMesh mesh;
    std::vector<double> mass;
    std::vector<NodePose> pose;
    std::vector<NodeRate> rate;
    std::vector<NodeLoad> load;
    std::vector<Bar> bars;
    double spring_omega_squared = 0.0, time = 0.0, lost = 0.0;

    void add_wall(int n, double size, const Vec3& middle, double turn, double tilt) {
        mesh.box = Vec3::Constant(1.0);
        const Vec3 half(0, 0, 0.5 * wall);
        const Index low = add_flat(mesh, n, size, middle - half, turn);
        const Index high = add_flat(mesh, n, size, middle + half, turn);
        for (std::size_t i = low; i < mesh.nodes.size(); ++i) { // about x through the middle
            const Vec3 at = mesh.nodes[i] - middle;
            mesh.nodes[i] = middle + Vec3(at.x(), std::cos(tilt) * at.y() - std::sin(tilt) * at.z(),
                                          std::sin(tilt) * at.y() + std::cos(tilt) * at.z());
        }
        const Index m = 2 * n + 1;
        for (Index j = 0; j < m; ++j)
            for (Index i = 0; i < m; ++i) {
                const Index k = i + j * m;
                add_bar(low + k, high + k);
                for (const Index step :
                     {i + 1 < m ? 1 : 0, j + 1 < m ? m : 0, i + 1 < m && j + 1 < m ? m + 1 : 0}) {
                    if (step == 0)
                        continue;
                    add_bar(low + k, low + k + step);
                    add_bar(high + k, high + k + step);
                    add_bar(low + k, high + k + step);
                    add_bar(high + k, low + k + step);
                }
            }
        mass = sheet_masses(mesh);
        pose = pose_of(mesh.nodes);
        rate.resize(pose.size());
        load.resize(pose.size());
        bound_springs();
    }

    /// Loads at t_n, then rates to n + 1/2 and positions to n + 1; returns the energy at t_n.
    double advance(SurfaceContact& contact, double dt) {
        load.assign(pose.size(), NodeLoad{});
        // The rates are those of the last step, dt_last long.
        contact.add_loads(pose, rate, mesh.box, dt_last_, load);
        lost += contact.report().friction_dissipation;
        double energy = add_bars() + contact.report().stored_energy() + lost;
        const double dt_rate = 0.5 * (dt_last_ + dt);
        for (std::size_t i = 0; i < pose.size(); ++i) {
            NodeRate& r = rate[i];
            const Vec3 a = force(load[i]) / mass[i], v(r.vx, r.vy, r.vz);
            energy += 0.5 * mass[i] * (v + 0.5 * dt_last_ * a).squaredNorm();
            const Vec3 next = v + dt_rate * a;
            r = {.vx = next.x(), .vy = next.y(), .vz = next.z()};
            pose[i].x += dt * r.vx;
            pose[i].y += dt * r.vy;
            pose[i].z += dt * r.vz;
        }
        dt_last_ = dt;
        time += dt;
        return energy;
    }

    [[nodiscard]] Vec3 place(Index i) const { return {pose[i].x, pose[i].y, pose[i].z}; }
    [[nodiscard]] double fastest() const {
        double most = 1e-9;
        for (const NodeRate& r : rate)
            most = std::max(most, Vec3(r.vx, r.vy, r.vz).norm());
        return most;
    }
    [[nodiscard]] double total_mass() const { return mass[0] * static_cast<double>(mass.size()); }
    [[nodiscard]] Vec3 momentum() const {
        Vec3 sum = Vec3::Zero();
        for (std::size_t i = 0; i < rate.size(); ++i)
            sum += mass[i] * Vec3(rate[i].vx, rate[i].vy, rate[i].vz);
        return sum;
    }
    [[nodiscard]] Vec3 angular_momentum() const {
        Vec3 sum = Vec3::Zero();
        for (std::size_t i = 0; i < rate.size(); ++i)
            sum += mass[i] *
                   place(static_cast<Index>(i)).cross(Vec3(rate[i].vx, rate[i].vy, rate[i].vz));
        return sum;
    }

    /// Whether an edge of one sheet cuts a triangle of another, or of itself, tried on all.
    [[nodiscard]] bool overlap() const {
        const auto volume = [](const Vec3& a, const Vec3& b, const Vec3& c, const Vec3& d) {
            return (b - a).cross(c - a).dot(d - a);
        };
        // Flat sheets are flat but for rounding: what counts is off by more than 1e-6 of an
        // element.
        const double noise = std::pow(1e-6 * std::pow(element, 3), 2);
        std::vector<std::array<Index, 3>> triangles;
        for (const FaceNodes& f : mesh.surface)
            for (const auto& part : {std::array{0, 3, 5}, std::array{3, 1, 4}, std::array{5, 4, 2},
                                     std::array{3, 4, 5}})
                triangles.push_back({f[part[0]], f[part[1]], f[part[2]]});
        for (const auto& t : triangles) {
            const Vec3 a = place(t[0]), b = place(t[1]), c = place(t[2]);
            for (const auto& other : triangles)
                for (int k = 0; k < 3; ++k) {
                    const Index i = other[k], j = other[(k + 1) % 3];
                    if (i > j || std::find(t.begin(), t.end(), i) != t.end() ||
                        std::find(t.begin(), t.end(), j) != t.end())
                        continue;
                    const Vec3 p = place(i), q = place(j);
                    if (volume(a, b, c, p) * volume(a, b, c, q) >= -noise)
                        continue;
                    const double u = volume(p, q, a, b), v = volume(p, q, b, c),
                                 w = volume(p, q, c, a);
                    if ((u > 0 && v > 0 && w > 0) || (u < 0 && v < 0 && w < 0))
                        return true;
                }
        }
        return false;
    }

private:
    void add_bar(Index a, Index b) {
        const double length = (mesh.nodes[b] - mesh.nodes[a]).norm();
        bars.push_back({a, b, length, 20e6 * 0.25 * element * element / length});
    }
    void bound_springs() { // row sums
        std::vector<double> row(mesh.nodes.size(), 0.0);
        for (const Bar& bar : bars) {
            row[bar.a] += 2.0 * bar.stiffness;
            row[bar.b] += 2.0 * bar.stiffness;
        }
        spring_omega_squared = 0.0;
        for (std::size_t i = 0; i < row.size(); ++i)
            spring_omega_squared = std::max(spring_omega_squared, row[i] / mass[i]);
    }
    double add_bars() {
        double energy = 0.0;
        for (const Bar& bar : bars) {
            const Vec3 apart = place(bar.b) - place(bar.a);
            const double stretch = apart.norm() - bar.length;
            const Vec3 f = bar.stiffness * stretch * apart.normalized();
            energy += 0.5 * bar.stiffness * stretch * stretch;
            load[bar.a].fx += f.x(), load[bar.a].fy += f.y(), load[bar.a].fz += f.z();
            load[bar.b].fx -= f.x(), load[bar.b].fy -= f.y(), load[bar.b].fz -= f.z();
        }
        return energy;
    }

    double dt_last_ = 0.0;
};

} // namespace cellgrade::test
