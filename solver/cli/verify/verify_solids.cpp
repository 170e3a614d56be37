// SPDX-License-Identifier: Apache-2.0
#include "meshes/tets/mesh_solid.hpp"
#include "solver/cli/verify/verification_row.hpp"
#include "solver/elements/tet_solver.hpp"
#include "solver/homogenize/platen_stiffness.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

namespace cellgrade {

namespace {

using Rows = std::vector<VerificationRow>;
constexpr double pi = std::numbers::pi;

/// A round bar of diameter 1 along z in a box a little wider.
TetMesh bar(double height, double size) {
    constexpr double width = 1.25;
    ImplicitSolid solid;
    solid.box = Vec3(width, width, height);
    solid.field = [](std::span<const Vec3> x, std::span<double> v) {
        for (std::size_t i = 0; i < x.size(); ++i)
            v[i] = std::hypot(x[i].x() - 0.5 * width, x[i].y() - 0.5 * width) - 0.5;
    };
    return mesh_solid(solid, {.element_size = size});
}

TetMesh block(double height, bool endless) {
    ImplicitSolid solid;
    solid.box = Vec3(1.0, 1.0, height);
    solid.periodic = {endless, endless, false};
    solid.field = [](std::span<const Vec3> x, std::span<double> v) {
        std::fill_n(v.begin(), x.size(), -1.0);
    };
    return mesh_solid(solid, {.element_size = 0.25, .low_share = 0.0});
}

void add_blocks(Rows& rows) {
    constexpr double E = 2.0, nu = 0.45; // MPa
    rows.push_back(verification_row(
        {.id = "solids/block-lubricated",
         .quantity = "apparent modulus of a block, sides free",
         .unit = "MPa",
         .reference = E,
         .computed = platen_stiffness(block(0.5, false), E, nu, PlatenFaces::Lubricated).modulus,
         .tolerance = 1e-7,
         .source = "uniaxial stress; tolerance of the linear solution"}));
    rows.push_back(verification_row(
        {.id = "solids/block-confined",
         .quantity = "apparent modulus of an endless layer between bonded platens",
         .unit = "MPa",
         .reference = E * (1.0 - nu) / ((1.0 + nu) * (1.0 - 2.0 * nu)),
         .computed = platen_stiffness(block(0.5, true), E, nu, PlatenFaces::Bonded).modulus,
         .tolerance = 1e-7,
         .source = "uniaxial strain; tolerance of the linear solution"}));
}

void add_cylinders(Rows& rows) {
    for (const auto& [height, reference] : {std::pair{1.0, 1.1851}, {0.5, 1.5026}}) {
        const PlatenStiffness s =
            platen_stiffness(bar(height, 0.125), 1.0, 0.49, PlatenFaces::Bonded);
        rows.push_back(verification_row(
            {.id = height > 0.9 ? "solids/bonded-cylinder-1" : "solids/bonded-cylinder-0.5",
             .quantity = "apparent modulus / E, bonded, nu 0.49, height over diameter as named",
             .unit = "1",
             .reference = reference,
             .computed = s.modulus / s.relative_density, // of the cylinder, not of the box
             .tolerance = 0.01,
             .source = "axisymmetric Q2 elements, 16 x 16 graded; even mesh of 12 across: 1 %"}));
    }
}

/// Tip deflection of a clamped bar under a unit force spread over its end.
double tip_deflection(const TetMesh& mesh, double youngs, double poisson) {
    const TetBlock elements =
        make_tet_block(mesh, LinearElastic{.E = youngs, .nu = poisson, .void_fraction = 0.0}, {});
    std::vector<char> held(3 * mesh.nodes.size(), 0);
    for (const Index node : mesh.bottom)
        for (int axis = 0; axis < 3; ++axis)
            held[3 * static_cast<std::size_t>(node) + axis] = 1;
    NodeFields load = NodeFields::Zero(3 * mesh.nodes.size(), 1);
    const double top = mesh.box.z() * (1.0 - 1e-9);
    for (const FaceNodes& face : mesh.surface) {
        bool on = true;
        for (const Index node : face)
            on = on && mesh.nodes[node].z() > top;
        const Vec3 &a = mesh.nodes[face[0]], &b = mesh.nodes[face[1]], &c = mesh.nodes[face[2]];
        for (int m = 3; on && m < 6; ++m) // a uniform traction loads the edge middles
            load(3 * face[m], 0) += (b - a).cross(c - a).norm();
    }
    load /= load.sum();
    const NodeFields rest = NodeFields::Zero(load.rows(), 1);
    // from rest the first residual is the load itself
    const TetSolver::Solution found = TetSolver(mesh, elements, held).solve(rest, load);
    return load.col(0).dot(found.u.col(0)); // work of the unit force
}

void add_strut(Rows& rows) {
    constexpr double L = 10.0, r = 0.5, E = 50.0, nu = 0.45, G = E / (2.0 * (1.0 + nu));
    constexpr double A = pi * r * r, I = 0.25 * pi * r * r * r * r;
    constexpr double kappa = 6.0 * (1.0 + nu) / (7.0 + 6.0 * nu);
    rows.push_back(verification_row(
        {.id = "solids/strut",
         .quantity = "tip deflection of a clamped round strut under 1 N, L = 10 d, d = 1 mm",
         .unit = "mm",
         .reference = L * L * L / (3.0 * E * I) + L / (kappa * G * A),
         .computed = tip_deflection(bar(L, 0.25), E, nu),
         .tolerance = 0.02,
         .source = "Timoshenko beam, Cowper 1966; the clamp also holds the width, 1 %"}));
}

} // namespace

std::vector<VerificationRow> verify_solids() {
    Rows rows;
    add_blocks(rows);
    add_cylinders(rows);
    add_strut(rows);
    return rows;
}

} // namespace cellgrade
