// SPDX-License-Identifier: Apache-2.0
// Which tetrahedron: error and cost of five candidates on the same nodes, small strain, nearly
// incompressible. Run: tet_choice
//
//   T4         8 linear tetrahedra in place of a quadratic one
//   T4 nodal   the same with the mean dilatation of each node's neighbours (Bonet & Burton 1998)
//   T10        four points, volume at each
//   composite  ten nodes, 12 linear parts, their gradient projected on linear fields (Thoutireddy
//              et al. 2002), volume at four points
//   T10 P0     four points, one pressure, mu/3 against its variation: the element of the program;
//              in two more rows with 0 and 3 mu
//
// step: critical leapfrog step over that of T10 P0; work: law calls for the same time, likewise.
#include "solver/elements/tet_point.hpp"
#include "tests/support/tet_problems.hpp"

#include <cstdio>
#include <functional>

namespace {

using namespace cellgrade;
using namespace cellgrade::test;

using Gradients = Eigen::Matrix<double, Eigen::Dynamic, 3>; // rows: nodes

/// One quadratic form of the energy: shear at a point or volume over a region.
struct Point {
    std::vector<Index> nodes;
    Gradients grad;
    double weight;
};

struct Element {
    std::vector<Point> shear, volume;
    std::vector<double> mass; // one a node
    double variation = 0.0;   // of the volume inside an element, over mu
    std::vector<std::array<Point, 4>> inside;
};

using Build = std::function<Element(const TetMesh&, const TetBlock&)>;

constexpr int linear_parts[8][4] = {{0, 4, 6, 7}, {4, 1, 5, 8}, {6, 5, 2, 9}, {7, 8, 9, 3},
                                    {4, 6, 7, 9}, {4, 7, 8, 9}, {4, 8, 5, 9}, {4, 5, 6, 9}};

Gradients linear_gradients(const std::array<Vec3, 4>& X, double& volume) {
    Mat3 J;
    J << X[1] - X[0], X[2] - X[0], X[3] - X[0];
    volume = std::abs(J.determinant()) / 6.0;
    Gradients grad(4, 3);
    grad.bottomRows<3>() = J.inverse();
    grad.row(0) = -grad.bottomRows<3>().colwise().sum();
    return grad;
}

Element linear_tets(const TetMesh& mesh, const TetBlock&) {
    Element all{.mass = std::vector<double>(mesh.nodes.size(), 0.0)};
    for (const TetNodes& tet : mesh.tets)
        for (const auto& part : linear_parts) {
            std::array<Vec3, 4> X;
            std::vector<Index> nodes;
            for (int a = 0; a < 4; ++a) {
                nodes.push_back(tet[part[a]]);
                X[a] = mesh.nodes[nodes.back()];
            }
            double volume = 0.0;
            const Gradients grad = linear_gradients(X, volume);
            all.shear.push_back({nodes, grad, volume});
            for (const Index n : nodes)
                all.mass[n] += 0.25 * volume;
        }
    all.volume = all.shear;
    return all;
}

Element nodal_tets(const TetMesh& mesh, const TetBlock& block) {
    Element all = linear_tets(mesh, block);
    std::vector<std::map<Index, Vec3>> sums(mesh.nodes.size());
    for (const Point& point : all.shear)
        for (const Index n : point.nodes)
            for (std::size_t a = 0; a < 4; ++a) {
                auto& sum = sums[n].try_emplace(point.nodes[a], Vec3::Zero()).first->second;
                sum += 0.25 * point.weight * point.grad.row(static_cast<Index>(a)).transpose();
            }
    all.volume.clear();
    for (std::size_t n = 0; n < sums.size(); ++n) {
        Point point{.grad = Gradients(sums[n].size(), 3), .weight = all.mass[n]};
        for (const auto& [node, sum] : sums[n]) {
            point.grad.row(static_cast<Index>(point.nodes.size())) = sum.transpose() / all.mass[n];
            point.nodes.push_back(node);
        }
        all.volume.push_back(point);
    }
    return all;
}

Element quadratic_tets(const TetMesh& mesh, const TetBlock& block) {
    Element all{.mass = std::vector<double>(mesh.nodes.size(), 0.0)};
    for (Index e = 0; e < block.n_elements; ++e) {
        const TetGroup& group = block.groups[e / group_lanes];
        const int lane = e % group_lanes;
        const std::vector<Index> nodes(mesh.tets[e].begin(), mesh.tets[e].end());
        for (int q = 0; q < 4; ++q)
            all.shear.push_back({nodes, tet_gradients(group, lane, q), group.weight[q][lane]});
        for (int a = 0; a < 10; ++a)
            all.mass[nodes[a]] += tet::mass_share(a) * tet_volume(group, lane);
    }
    all.volume = all.shear;
    return all;
}

Element one_pressure(const TetMesh& mesh, const TetBlock& block, double variation) {
    Element all = quadratic_tets(mesh, block);
    all.volume.clear();
    all.variation = variation;
    for (Index e = 0; e < block.n_elements; ++e) {
        const TetGroup& group = block.groups[e / group_lanes];
        const Gradients mean = tet_mean_gradients(group, e % group_lanes);
        const std::vector<Index>& nodes = all.shear[4 * e].nodes;
        all.volume.push_back({nodes, mean, tet_volume(group, e % group_lanes)});
        all.inside.emplace_back();
        for (int q = 0; q < 4; ++q) {
            Point point = all.shear[4 * e + q];
            point.grad -= mean;
            all.inside.back()[q] = point;
        }
    }
    return all;
}

/// Corner parts of 1/8 of the volume, eight parts of 1/16 around the mean of the edge middles; the
/// gradient projected on the four barycentric functions and taken at the four points.
Element composite_tets(const TetMesh& mesh, const TetBlock&) {
    constexpr int around[8][3] = {{4, 6, 7}, {4, 5, 8}, {5, 6, 9}, {7, 8, 9},
                                  {4, 5, 6}, {4, 7, 8}, {5, 8, 9}, {6, 7, 9}};
    Element all{.mass = std::vector<double>(mesh.nodes.size(), 0.0)};
    Eigen::Matrix<double, 10, 4> L = Eigen::Matrix<double, 10, 4>::Zero(); // of each node
    for (int k = 0; k < 4; ++k)
        for (int j = 0; j < 4; ++j) {
            L(tet::node_between[k][j], k) += 0.5;
            L(tet::node_between[k][j], j) += k == j ? 0.5 : 0.0;
        }
    L.topRows<4>().setIdentity();
    Eigen::Matrix4d M = Eigen::Matrix4d::Constant(0.05) + 0.05 * Eigen::Matrix4d::Identity();
    for (const TetNodes& tet : mesh.tets) {
        const std::vector<Index> nodes(tet.begin(), tet.end());
        std::array<Gradients, 4> moment; // int L_j grad / V
        moment.fill(Gradients::Zero(10, 3));
        double whole = 0.0;
        const auto add = [&](const std::array<int, 4>& part) { // -1: the middle
            std::array<Vec3, 4> X;
            Eigen::Vector4d mean = Eigen::Vector4d::Zero();
            for (int a = 0; a < 4; ++a) {
                X[a] = Vec3::Zero();
                if (part[a] >= 0)
                    X[a] = mesh.nodes[tet[part[a]]];
                for (int b = 4; b < 10 && part[a] < 0; ++b)
                    X[a] += mesh.nodes[tet[b]] / 6.0;
                mean += 0.25 * (part[a] >= 0 ? Eigen::Vector4d(L.row(part[a]).transpose())
                                             : Eigen::Vector4d::Constant(0.25));
            }
            double volume = 0.0;
            const Gradients grad = linear_gradients(X, volume);
            whole += volume;
            for (int j = 0; j < 4; ++j)
                for (int a = 0; a < 4; ++a) {
                    if (part[a] >= 0)
                        moment[j].row(part[a]) += volume * mean[j] * grad.row(a);
                    for (int b = 4; b < 10 && part[a] < 0; ++b)
                        moment[j].row(b) += volume * mean[j] / 6.0 * grad.row(a);
                }
        };
        for (int k = 0; k < 4; ++k)
            add({linear_parts[k][0], linear_parts[k][1], linear_parts[k][2], linear_parts[k][3]});
        for (const auto& face : around)
            add({face[0], face[1], face[2], -1});
        const Eigen::Matrix4d inverse = M.inverse() / whole;
        for (int q = 0; q < 4; ++q) {
            Eigen::Vector4d at = Eigen::Vector4d::Constant(tet::far);
            at[q] = tet::near;
            const Eigen::Vector4d by = inverse * at;
            Gradients grad = Gradients::Zero(10, 3);
            for (int j = 0; j < 4; ++j)
                grad += by[j] * moment[j];
            all.shear.push_back({nodes, grad, 0.25 * whole});
        }
        for (int a = 0; a < 10; ++a)
            all.mass[nodes[a]] += (a < 4 ? 1.0 / 32.0 : 7.0 / 48.0) * whole;
    }
    all.volume = all.shear;
    return all;
}

void add_volume(std::vector<Eigen::Triplet<double>>& to, const Point& p, double stiffness) {
    for (std::size_t a = 0; a < p.nodes.size(); ++a)
        for (std::size_t b = 0; b < p.nodes.size(); ++b)
            for (int i = 0; i < 3; ++i)
                for (int j = 0; j < 3; ++j)
                    to.emplace_back(3 * p.nodes[a] + i, 3 * p.nodes[b] + j,
                                    stiffness * p.weight * p.grad(static_cast<Index>(a), i) *
                                        p.grad(static_cast<Index>(b), j));
}

void add_shear(std::vector<Eigen::Triplet<double>>& to, const Point& p, double mu) {
    for (std::size_t a = 0; a < p.nodes.size(); ++a)
        for (std::size_t b = 0; b < p.nodes.size(); ++b) {
            const Vec3 Na = p.grad.row(static_cast<Index>(a)).transpose();
            const Vec3 Nb = p.grad.row(static_cast<Index>(b)).transpose();
            const Mat3 K = mu * p.weight *
                           (Na.dot(Nb) * Mat3::Identity() + Nb * Na.transpose() -
                            2.0 / 3.0 * Na * Nb.transpose());
            for (int i = 0; i < 3; ++i)
                for (int j = 0; j < 3; ++j)
                    to.emplace_back(3 * p.nodes[a] + i, 3 * p.nodes[b] + j, K(i, j));
        }
}

Sparse stiffness_of(const Element& all, double mu, double kappa, std::size_t n_nodes) {
    std::vector<Eigen::Triplet<double>> entries;
    for (const Point& p : all.shear)
        add_shear(entries, p, mu);
    for (const Point& p : all.volume)
        add_volume(entries, p, kappa);
    if (all.variation > 0.0)
        for (const auto& points : all.inside)
            for (const Point& p : points)
                add_volume(entries, p, all.variation * mu);
    Sparse K(static_cast<Index>(3 * n_nodes), static_cast<Index>(3 * n_nodes));
    K.setFromTriplets(entries.begin(), entries.end());
    return K;
}

/// Largest frequency for unit density, by power iteration.
double omega_of(const Sparse& K, const std::vector<double>& mass) {
    Eigen::VectorXd per(K.rows()), u = Eigen::VectorXd::Random(K.rows());
    for (Index i = 0; i < K.rows(); ++i)
        per[i] = 1.0 / std::sqrt(mass[i / 3]);
    double squared = 0.0;
    for (int n = 0; n < 400; ++n) {
        u.normalize();
        u = per.cwiseProduct(K * per.cwiseProduct(u)).eval();
        squared = u.norm();
    }
    return std::sqrt(squared);
}

std::vector<double> solve(const Sparse& K, const Support& support) {
    int n_free = 0;
    const std::vector<int> number = number_free(support, n_free);
    std::vector<Eigen::Triplet<double>> entries;
    Eigen::VectorXd right = Eigen::VectorXd::Zero(n_free);
    for (std::size_t i = 0; i < number.size(); ++i)
        if (number[i] >= 0)
            right[number[i]] = support.load[i];
    for (Index column = 0; column < K.outerSize(); ++column)
        for (Sparse::InnerIterator it(K, column); it; ++it) {
            const int i = number[it.row()], j = number[column];
            if (i >= 0 && j >= 0)
                entries.emplace_back(i, j, it.value());
            else if (i >= 0)
                right[i] -= it.value() * support.u[column];
        }
    Sparse free(n_free, n_free);
    free.setFromTriplets(entries.begin(), entries.end());
    const Eigen::VectorXd x = Eigen::SimplicialLDLT<Sparse>(free).solve(right);
    std::vector<double> u = support.u;
    for (std::size_t i = 0; i < number.size(); ++i)
        if (number[i] >= 0)
            u[i] = x[number[i]];
    return u;
}

struct Row {
    double strut, cook, bonded, omega, points;
};

Row row_of(const Build& build) {
    const auto run = [&](const Problem& p, double youngs, double poisson, Row* row) {
        const double mu = youngs / (2.0 * (1.0 + poisson));
        const double kappa = youngs / (3.0 * (1.0 - 2.0 * poisson));
        const TetBlock block =
            make_tet_block(p.mesh, NeoHookean{.mu = mu, .kappa = kappa, .void_fraction = 0.0}, {});
        const Element all = build(p.mesh, block);
        const Sparse K = stiffness_of(all, mu, kappa, p.mesh.nodes.size());
        if (row != nullptr) {
            row->omega = omega_of(K, all.mass);
            row->points = static_cast<double>(all.shear.size());
        }
        const std::vector<double> u = solve(K, p.support);
        const Eigen::VectorXd f = K * Eigen::Map<const Eigen::VectorXd>(u.data(), K.cols());
        return std::pair(u, std::vector<double>(f.data(), f.data() + f.size()));
    };
    Row row{};
    const Problem bar = strut(1, 20);
    row.strut = strut_tip(bar.mesh, run(bar, 50.0, 0.49, &row).first) / timoshenko_tip(50.0, 0.49);
    const Problem membrane = cook(8);
    row.cook =
        displacement_at(membrane.mesh, run(membrane, 250.0, 0.4999, nullptr).first, 48.0, 60.0, 1) /
        7.765;
    const Problem disc = pressed_cylinder(1.0, 3, 3, 1.0, Plates::Bonded);
    row.bonded = plate_stress(disc.mesh, run(disc, 1.0, 0.4999, nullptr).second, 1.0) / 1.1962;
    return row;
}

} // namespace

int main() {
    const auto with = [](double variation) {
        return [variation](const TetMesh& mesh, const TetBlock& block) {
            return one_pressure(mesh, block, variation);
        };
    };
    const std::pair<const char*, Build> candidates[] = {
        {"T10 P0, mu/3", with(tet::variation_stiffness)},
        {"T10 P0, 0", with(0.0)},
        {"T10 P0, 3 mu", with(3.0)},
        {"T10", quadratic_tets},
        {"composite", composite_tets},
        {"T4", linear_tets},
        {"T4 nodal", nodal_tets}};
    std::printf(
        "found over exact: strut nu 0.49, 2 across; Cook nu 0.4999, 8 x 8; bonded nu 0.4999\n");
    std::printf("%-14s %8s %8s %8s %8s %8s\n", "", "strut", "Cook", "bonded", "step", "work");
    Row own{};
    for (const auto& [name, build] : candidates) {
        const Row row = row_of(build);
        if (own.omega == 0.0)
            own = row;
        std::printf("%-14s %8.4f %8.4f %8.4f %8.3f %8.2f\n", name, row.strut, row.cook, row.bonded,
                    own.omega / row.omega, row.points * row.omega / (own.points * own.omega));
    }
    return 0;
}
