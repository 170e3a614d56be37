// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/stiffness.hpp"

#include "meshes/beams/joint_zones.hpp"
#include "meshes/catalogue/strut_net.hpp"
#include "solver/core/disjoint_sets.hpp"
#include "solver/core/error.hpp"

#include <Eigen/Geometry>
#include <Eigen/LU>
#include <Eigen/SparseCholesky>
#include <Eigen/SparseCore>

#include <array>
#include <cmath>
#include <numbers>
#include <utility>

namespace cellgrade {

namespace {

using SparseMatrix = Eigen::SparseMatrix<double>;
using Mat12x6 = Eigen::Matrix<double, 12, 6>;

/// One beam of the periodic frame: end b is the copy of node b displaced by `shift`.
struct Member {
    Index a;
    Index b;
    Vec3 shift; ///< lattice image_b [m]
    Vec3 axis;  ///< from end a to end b [m]
    double radius;
    double factor; ///< multiplies the stiffness
};

struct PeriodicFrame {
    Index n_nodes = 0;
    std::vector<Member> members;
    double volume = 0.0;       ///< of the cell [m^3]
    double solid_volume = 0.0; ///< sum A L [m^3]
};

/// Unlike SectionModuli::check() lets a shear factor above 1 pass, so that a caller can leave shear
/// flexibility out.
void check_moduli(const SectionModuli& moduli) {
    for (const auto& [name, value] : {std::pair{"Young's modulus [Pa]", moduli.youngs},
                                      std::pair{"shear modulus [Pa]", moduli.shear},
                                      std::pair{"shear factor", moduli.shear_factor}})
        CELLGRADE_CHECK(std::isfinite(value) && value > 0.0,
                        "{} is {}; it must be above 0 and finite", name, value);
}

void check_cell(const StrutCell& cell, std::span<const double> diameters) {
    CELLGRADE_CHECK(!cell.struts.empty(), "cell '{}' has no struts", cell.name);
    CELLGRADE_CHECK(diameters.size() == cell.struts.size(),
                    "cell '{}' has {} struts but {} diameters were given", cell.name,
                    cell.struts.size(), diameters.size());
    for (std::size_t s = 0; s < diameters.size(); ++s)
        CELLGRADE_CHECK(std::isfinite(diameters[s]) && diameters[s] > 0.0,
                        "cell '{}': diameter {} m of strut {} must be greater than 0", cell.name,
                        diameters[s], s);
}

PeriodicFrame plain_frame(const StrutCell& cell, std::span<const double> diameters) {
    check_cell(cell, diameters);
    PeriodicFrame frame;
    frame.n_nodes = static_cast<Index>(cell.nodes.size());
    frame.volume = std::abs(cell.lattice.determinant());
    const double edge = cell.lattice.colwise().norm().maxCoeff();
    CELLGRADE_CHECK(frame.volume > 1e-12 * edge * edge * edge,
                    "cell '{}': the three lattice vectors lie in one plane", cell.name);
    for (std::size_t s = 0; s < cell.struts.size(); ++s) {
        const Strut& strut = cell.struts[s];
        CELLGRADE_CHECK(strut.a >= 0 && strut.a < frame.n_nodes && strut.b >= 0 &&
                            strut.b < frame.n_nodes,
                        "cell '{}': strut {} joins nodes {} and {}, but there are {} nodes",
                        cell.name, s, strut.a, strut.b, frame.n_nodes);
        const Vec3 shift = cell.lattice * strut.image_b.cast<double>();
        const Vec3 axis = cell.lattice * (cell.nodes[strut.b] - cell.nodes[strut.a]) + shift;
        CELLGRADE_CHECK(axis.norm() > 1e-9 * edge,
                        "cell '{}': strut {} has no length (nodes {} and {})", cell.name, s,
                        strut.a, strut.b);
        const double radius = 0.5 * diameters[s];
        frame.members.push_back({.a = strut.a,
                                 .b = strut.b,
                                 .shift = shift,
                                 .axis = axis,
                                 .radius = radius,
                                 .factor = 1.0});
        frame.solid_volume += std::numbers::pi * radius * radius * axis.norm();
    }
    return frame;
}

/// Splits each strut at the ends of its joint zones and makes the zones stiffer. New nodes are
/// given to the home cell, so that only the last part of a strut crosses into another image.
void stiffen_joints(PeriodicFrame& frame,
                    const std::vector<std::array<double, 2>>& zones,
                    double factor) {
    CELLGRADE_CHECK(std::isfinite(factor) && factor >= 1.0,
                    "joint stiffness factor {} is not allowed; a number of at least 1 is needed",
                    factor);
    const std::vector<Member> whole = std::move(frame.members);
    frame.members.clear();
    for (std::size_t s = 0; s < whole.size(); ++s) {
        const double length = whole[s].axis.norm();
        const std::array<std::pair<double, double>, 3> parts = {
            {{zones[s][0], factor},
             {length - zones[s][0] - zones[s][1], 1.0},
             {zones[s][1], factor}}};
        Index here = whole[s].a;
        for (const auto& [part, stiffness] : parts) {
            if (part <= 0.0)
                continue;
            Member member = whole[s];
            member.a = here;
            member.b = here = frame.n_nodes++;
            member.shift = Vec3::Zero();
            member.axis *= part / length;
            member.factor = stiffness;
            frame.members.push_back(member);
        }
        frame.members.back().b = whole[s].b;
        frame.members.back().shift = whole[s].shift;
        --frame.n_nodes; // the last part ends at a node that was there
    }
}

/// Every node must be used, and all must hang together: else pieces could drift apart for free.
void check_one_piece(const PeriodicFrame& frame, const std::string& name) {
    DisjointSets pieces(static_cast<std::size_t>(frame.n_nodes));
    for (const Member& m : frame.members)
        pieces.join(m.a, m.b);
    for (Index i = 0; i < frame.n_nodes; ++i)
        CELLGRADE_CHECK(pieces.find(i) == pieces.find(0),
                        "cell '{}': no chain of struts joins nodes 0 and {}; a cell must hang "
                        "together in one piece",
                        name, i);
}

/// Displacement of `shift` under the unit strains, engineering shear halved into both components.
Eigen::Matrix<double, 3, 6> unit_strain_displacements(const Vec3& t) {
    Eigen::Matrix<double, 3, 6> d;
    d << t.x(), 0, 0, 0, 0.5 * t.z(), 0.5 * t.y(), //
        0, t.y(), 0, 0.5 * t.z(), 0, 0.5 * t.x(),  //
        0, 0, t.z(), 0.5 * t.y(), 0.5 * t.x(), 0;
    return d;
}

Mat12x6 imposed_ends(const Member& m) {
    Mat12x6 d = Mat12x6::Zero();
    d.middleRows<3>(6) = unit_strain_displacements(m.shift);
    return d;
}

/// Unknowns: 3 displacements and 3 rotations a node; the displacement of node 0 is left out.
/// Rotations are measured in units of 1 / length, so that all pivots are comparable.
class FrameSystem {
public:
    FrameSystem(const PeriodicFrame& frame, const SectionModuli& moduli);

    /// End displacements of a member under the six unit strains.
    [[nodiscard]] Mat12x6 ends(const Member& m) const;
    void solve(const std::string& name);
    [[nodiscard]] const Mat12& member_stiffness(std::size_t m) const { return stiffness_[m]; }

private:
    [[nodiscard]] Eigen::Index unknown(Index node, int dof) const { return 6 * node + dof - 3; }
    [[nodiscard]] double scale(int dof) const { return dof < 3 ? 1.0 : 1.0 / length_; }

    double length_ = 0.0;
    std::vector<Mat12> stiffness_;
    SparseMatrix K_;
    Eigen::Matrix<double, Eigen::Dynamic, 6> load_;
    Eigen::Matrix<double, Eigen::Dynamic, 6> solution_;
};

FrameSystem::FrameSystem(const PeriodicFrame& frame, const SectionModuli& moduli) {
    for (const Member& m : frame.members)
        length_ += m.axis.norm() / static_cast<double>(frame.members.size());
    const Eigen::Index n = 6 * static_cast<Eigen::Index>(frame.n_nodes) - 3;
    load_.setZero(n, 6);
    std::vector<Eigen::Triplet<double>> entries;
    entries.reserve(144 * frame.members.size());
    for (const Member& m : frame.members) {
        const Mat12& K =
            stiffness_.emplace_back(m.factor * beam_stiffness(m.axis, m.radius, moduli));
        const Mat12x6 f = K * imposed_ends(m);
        for (int i = 0; i < 12; ++i) {
            const Eigen::Index row = unknown(i < 6 ? m.a : m.b, i % 6);
            if (row < 0)
                continue;
            load_.row(row) -= scale(i % 6) * f.row(i);
            for (int j = 0; j < 12; ++j) {
                const Eigen::Index column = unknown(j < 6 ? m.a : m.b, j % 6);
                if (column >= 0)
                    entries.emplace_back(row, column, scale(i % 6) * scale(j % 6) * K(i, j));
            }
        }
    }
    K_.resize(n, n);
    K_.setFromTriplets(entries.begin(), entries.end());
}

void FrameSystem::solve(const std::string& name) {
    const Eigen::SimplicialLDLT<SparseMatrix> factor(K_);
    // A free motion leaves a pivot at rounding level, 1e-16 of the largest; bending of the most
    // slender struts of use (r/L = 0.001) lies at 1e-6.
    const bool stands =
        factor.info() == Eigen::Success &&
        factor.vectorD().minCoeff() > 1e-12 * factor.vectorD().cwiseAbs().maxCoeff();
    CELLGRADE_CHECK(stands,
                    "cell '{}': its frame can move without strain, so it has no stiffness tensor; "
                    "join the struts into a net that repeats in at least two directions",
                    name);
    solution_ = factor.solve(load_);
    const double residual = (K_ * solution_ - load_).norm();
    if (!(residual <= 1e-8 * load_.norm()))
        throw run_error("cell '{}': the stiffness solve left a residual of {:.1e} of the load",
                        name, residual / load_.norm());
}

Mat12x6 FrameSystem::ends(const Member& m) const {
    Mat12x6 d = imposed_ends(m);
    for (int i = 0; i < 12; ++i) {
        const Eigen::Index row = unknown(i < 6 ? m.a : m.b, i % 6);
        if (row >= 0)
            d.row(i) += scale(i % 6) * solution_.row(row);
    }
    return d;
}

} // namespace

ElasticStiffness elastic_stiffness(const StrutCell& cell,
                                   std::span<const double> diameters,
                                   const SectionModuli& moduli,
                                   const JointModel& joints) {
    check_moduli(moduli);
    PeriodicFrame frame = plain_frame(cell, diameters);
    check_one_piece(frame, cell.name);
    if (joints.joints == Joints::Stiffened)
        stiffen_joints(frame, joint_zones(periodic_net(cell, diameters)), joints.stiffness);
    FrameSystem system(frame, moduli);
    system.solve(cell.name);

    ElasticStiffness result{.cell_volume = frame.volume,
                            .centre_line_density = frame.solid_volume / frame.volume};
    for (std::size_t m = 0; m < frame.members.size(); ++m) {
        const Mat12x6 d = system.ends(frame.members[m]);
        result.C.noalias() += d.transpose() * system.member_stiffness(m) * d;
    }
    result.C = Mat6(0.5 * (result.C + result.C.transpose()) / frame.volume);
    return result;
}

ElasticStiffness elastic_stiffness(const StrutCell& cell,
                                   double diameter,
                                   const SectionModuli& moduli,
                                   const JointModel& joints) {
    const std::vector<double> diameters(cell.struts.size(), diameter);
    return elastic_stiffness(cell, diameters, moduli, joints);
}

} // namespace cellgrade
