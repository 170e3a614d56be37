// SPDX-License-Identifier: Apache-2.0
#include "meshes/tets/mesh_solid.hpp"
#include "solver/contact/surface_search.hpp"
#include "solver/core/error.hpp"
#include "tests/support/compare.hpp"
#include "tests/unit/contact/surface_meshes.hpp"
#include "tests/unit/meshes/sample_solids.hpp"

#include <doctest/doctest.h>

#include <omp.h>

namespace cellgrade {
namespace {

// Small shaken sheets at random in a box, so crowded that images meet.
TetMesh litter(int n_sheets, double side, std::array<bool, 3> periodic, unsigned seed) {
    test::Random random(seed);
    TetMesh mesh;
    mesh.box = Vec3::Constant(side);
    mesh.periodic = periodic;
    for (int k = 0; k < n_sheets; ++k) {
        const Vec3 at = 0.5 * mesh.box + random.cube(0.5 * side);
        const Vec3 u = 0.4 * random.direction(), v = 0.4 * random.direction();
        test::add_sheet(mesh, 1, 1, [&](double a, double b) { return Vec3(at + a * u + b * v); });
    }
    test::shake(mesh.nodes, 0.05, seed);
    return mesh;
}

// All shifts tried on all pairs of primitives.
std::vector<PairKey> by_trial(const ContactSurface& surface,
                              std::span<const Vec3> x,
                              double layer,
                              const Vec3& box,
                              double margin,
                              Index most_shift) {
    std::vector<PairKey> want;
    const auto keep_if_near = [&](Index a, Index b, const std::array<Index, 3>& shift) {
        const SurfacePair pair = surface_pair(surface, {a, b, shift});
        const int n_first = pair.kind == SurfacePair::Kind::VertexTriangle ? 1 : 2;
        PairPlaces at;
        for (int k = 0; k < 4; ++k)
            at[k] = pair.place(k, x, box);
        for (int i = 0; i < n_first; ++i)
            for (int j = n_first; j < 4; ++j)
                if (pair.vertex[i] == pair.vertex[j] && pair.image[i] == pair.image[j])
                    return;
        if (nearest_points(pair.kind, at).distance < layer + margin)
            want.push_back({a, b, shift});
    };
    std::array<Index, 3> reach{};
    for (int i = 0; i < 3; ++i)
        reach[i] = surface.periodic[i] ? most_shift : 0;
    for (Index z = -reach[2]; z <= reach[2]; ++z)
        for (Index y = -reach[1]; y <= reach[1]; ++y)
            for (Index s = -reach[0]; s <= reach[0]; ++s) {
                const std::array<Index, 3> shift{s, y, z};
                for (Index v = 0; v < surface.n_vertices(); ++v)
                    for (Index t = 0; t < surface.n_triangles(); ++t)
                        keep_if_near(v, triangle_key(surface, t), shift);
                for (Index e = 0; e < surface.n_edges(); ++e)
                    for (Index f = e; f < surface.n_edges(); ++f)
                        if (f > e || shift > std::array<Index, 3>{})
                            keep_if_near(edge_key(surface, e), edge_key(surface, f), shift);
            }
    std::sort(want.begin(), want.end());
    return want;
}

TEST_CASE("surface search: finds the pairs that trial of all finds, with and without images") {
    for (const std::array<bool, 3> periodic :
         {std::array{false, false, false}, std::array{true, false, true},
          std::array{true, true, true}}) {
        const TetMesh mesh = litter(20, 1.0, periodic, 11);
        const ContactSurface surface = contact_surface(mesh);
        std::vector<Vec3> x = surface.x;
        test::Random random(13); // sheets that have left the box by whole boxes
        if (periodic[0])
            for (Vec3& at : x)
                at.x() += mesh.box.x() * 1.0;
        const std::vector<double> layer(x.size(), 0.02);
        const std::vector<PairKey> got = find_surface_pairs(surface, x, layer, mesh.box, 0.05);
        const std::vector<PairKey> want = by_trial(surface, x, 0.02, mesh.box, 0.05, 2);
        CHECK(got.size() > 500);
        CHECK(got == want);
    }
}

TEST_CASE("surface search: the list is the same for any number of threads") {
    const TetMesh mesh = litter(400, 3.0, {true, true, false}, 17);
    const ContactSurface surface = contact_surface(mesh);
    const std::vector<double> layer(surface.x.size(), 0.02);
    const int before = omp_get_max_threads();
    omp_set_num_threads(1);
    const auto one = find_surface_pairs(surface, surface.x, layer, mesh.box, 0.05);
    CHECK(one.size() > 10000);
    for (const int threads : {2, 3}) {
        omp_set_num_threads(threads);
        CHECK(find_surface_pairs(surface, surface.x, layer, mesh.box, 0.05) == one);
    }
    omp_set_num_threads(before);
}

TEST_CASE("surface search: tests per vertex do not grow with the surface") {
    double last = 0.0;
    for (const int n : {150, 1200, 9600}) { // same sheets per volume
        const TetMesh mesh = litter(n, 2.4 * std::cbrt(n / 150.0), {true, true, true}, 19);
        const ContactSurface surface = contact_surface(mesh);
        const std::vector<double> layer(surface.x.size(), 0.02);
        std::size_t tested = 0;
        (void)find_surface_pairs(surface, surface.x, layer, mesh.box, 0.05, &tested);
        const double per_vertex = static_cast<double>(tested) / surface.n_vertices();
        // Quadratic cost would give 8. A box holds a whole number of cells, so their width varies:
        // by up to 1/5 in the smallest box of 2.4 over cells of 0.45.
        if (last > 0.0)
            CHECK(std::abs(per_vertex / last - 1.0) < 0.25);
        last = per_vertex;
    }
}

TEST_CASE("contact surface: a ball is closed, with Euler number 2 and its area") {
    const TetMesh mesh = mesh_solid(test::ball(0.3), {.element_size = 0.1});
    const ContactSurface surface = contact_surface(mesh);
    CHECK(surface.n_triangles() == static_cast<Index>(4 * mesh.surface.size()));
    CHECK(surface.n_vertices() - surface.n_edges() + surface.n_triangles() == 2);
    double area = 0.0;
    for (const double a : surface.area)
        area += a;
    // Flat triangles of edge 0.05 lose about L^2 / (4 r^2) = 0.7 % of the area of the ball.
    const double exact = 4.0 * 3.14159265 * 0.09;
    CHECK(area < exact);
    CHECK(area > 0.99 * exact);
}

TEST_CASE("contact surface: copies on far periodic sides are the same vertex one box away") {
    // Closed without borders: two triangles an edge. Euler number of the gyroid's two sides, each
    // of genus 5 in the cubic cell: 2 (2 - 2 x 5) = -16. Source: Schoen (1970), NASA TN D-5541
    // (genus 3 in the primitive cell, half the cubic one), from memory.
    const TetMesh mesh = mesh_solid(test::gyroid_wall(0.5), {.element_size = 1.0 / 12.0});
    const ContactSurface surface = contact_surface(mesh);
    CHECK(3 * surface.n_triangles() == 2 * surface.n_edges());
    CHECK(surface.n_vertices() - surface.n_edges() + surface.n_triangles() == -16);
    for (const Index node : surface.nodes)
        for (int i = 0; i < 3; ++i)
            CHECK(mesh.nodes[node][i] < mesh.box[i] - 1e-9);
    for (const auto& edge : surface.edges) {
        const Vec3 a = surface.x[edge[0].vertex];
        const Vec3 b = surface.x[edge[1].vertex] + moved_by(edge[1].image, mesh.box);
        CHECK((b - a).norm() < 2.0 / 12.0);
    }
}

TEST_CASE("contact surface: copies along an axis that is not periodic are refused") {
    TetMesh mesh = litter(1, 1.0, {false, true, true}, 23);
    mesh.copies.push_back({.node = 3, .original = 0, .image = Vec3i(1, 0, 0)});
    try {
        (void)contact_surface(mesh);
        CHECK(false);
    } catch (const Error& error) {
        CHECK(std::string(error.what()).find("not periodic") != std::string::npos);
    }
}

} // namespace
} // namespace cellgrade
