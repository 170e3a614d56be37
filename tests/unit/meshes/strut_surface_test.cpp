// SPDX-License-Identifier: Apache-2.0
#include "meshes/print/strut_surface.hpp"

#include "meshes/catalogue/catalogue.hpp"
#include "meshes/specimens/specimen.hpp"
#include "solver/core/units.hpp"
#include "tests/support/compare.hpp"
#include "tests/support/scratch.hpp"

#include <Eigen/Geometry>
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <set>

using namespace cellgrade;
using std::numbers::pi;
using test::message_of;
using test::rel_err;

namespace {

constexpr double mm = units::mm;

/// Bars from node to node, one beam each.
BeamMesh bars_of(const std::vector<Vec3>& nodes,
                 const std::vector<std::array<Index, 2>>& ends,
                 double radius,
                 const Vec3& box) {
    BeamMesh mesh{.nodes = nodes, .box = box};
    mesh.is_joint.assign(nodes.size(), true);
    for (const auto& [a, b] : ends)
        mesh.elements.push_back(
            {.a = a, .b = b, .radius = radius, .strut = static_cast<Index>(mesh.elements.size())});
    return mesh;
}

/// A bar across a box, neither along an axis of the grid nor through its nodes; flat ends across
/// it.
BeamMesh slanting_bar(double radius) {
    return bars_of({Vec3(1.13, 1.27, 1.41) * mm, Vec3(5.2, 3.9, 7.7) * mm}, {{0, 1}}, radius,
                   Vec3::Constant(9.0 * mm));
}

PrintSurface surface_of(const BeamMesh& mesh,
                        const StrutSurfaceOptions& options,
                        const std::array<Index, 3>& tiles = {1, 1, 1}) {
    const Vec3 n(tiles[0], tiles[1], tiles[2]);
    return strut_surface(tile_struts(mesh, mesh.box.cwiseQuotient(n), options));
}

Vec3 at(const PrintSurface& s, Index point) { // [m]
    const auto& x = s.points[point];
    return Vec3(double{x[0]}, double{x[1]}, double{x[2]}) * mm;
}

double area(const PrintSurface& s) { // [m^2]
    double sum = 0.0;
    for (const auto& t : s.triangles)
        sum += 0.5 * (at(s, t[1]) - at(s, t[0])).cross(at(s, t[2]) - at(s, t[0])).norm();
    return sum;
}

/// Of the volume inside [m].
Vec3 centroid(const PrintSurface& s) {
    Vec3 sum = Vec3::Zero();
    double weight = 0.0;
    for (const auto& t : s.triangles) {
        const Vec3 a = at(s, t[0]), b = at(s, t[1]), c = at(s, t[2]);
        const double six = a.dot(b.cross(c));
        sum += 0.25 * six * (a + b + c);
        weight += six;
    }
    return sum / weight;
}

/// Edges that are not shared by exactly two triangles which run them in opposite directions.
int wrong_edges(const PrintSurface& s) {
    std::map<std::pair<Index, Index>, int> edges;
    for (const auto& t : s.triangles)
        for (int i = 0; i < 3; ++i)
            ++edges[{t[i], t[(i + 1) % 3]}];
    int wrong = 0;
    for (const auto& [edge, n] : edges) {
        const auto back = edges.find({edge.second, edge.first});
        wrong += n != 1 || back == edges.end() || back->second != 1 ? 1 : 0;
    }
    return wrong;
}

/// Smallest height of a triangle [m].
double smallest_height(const PrintSurface& s) {
    double least = HUGE_VAL;
    for (const auto& t : s.triangles) {
        const Vec3 a = at(s, t[1]) - at(s, t[0]), b = at(s, t[2]) - at(s, t[0]);
        least = std::min(least, a.cross(b).norm() / std::max({a.norm(), b.norm(), (a - b).norm()}));
    }
    return least;
}

/// Points - edges + faces; every edge has two triangles. Points without triangles would count too.
long euler(const PrintSurface& s) {
    std::set<Index> used;
    for (const auto& t : s.triangles)
        used.insert(t.begin(), t.end());
    CHECK(used.size() == s.points.size());
    const auto faces = static_cast<long>(s.triangles.size());
    return static_cast<long>(s.points.size()) - faces / 2;
}

long n_joints(const BeamMesh& mesh) {
    return static_cast<long>(std::count(mesh.is_joint.begin(), mesh.is_joint.end(), true));
}

long n_struts(const BeamMesh& mesh) {
    return static_cast<long>(mesh.elements.back().strut) + 1;
}

void check_good(const PrintSurface& s) {
    CHECK(wrong_edges(s) == 0);
    CHECK(smallest_height(s) > 0.0);
    CHECK(shell_volumes(s).size() == 1); // in one piece, no void inside
}

} // namespace

TEST_CASE("strut surface: a straight bar has the volume and area of its cylinder, Euler number 2") {
    // Exact: pi r^2 L; 2 pi r L + 2 pi r^2. Tolerance: facets under the arcs lose (h / r)^2 / 24 of
    // the volume, 0.5 % with three cubes a radius, and half of that of the area; cut rims are
    // blunted over half a cube: 2 pi r h^2 / 8 of volume.
    const double r = 0.4 * mm;
    const BeamMesh bar = slanting_bar(r);
    const double L = (bar.nodes[1] - bar.nodes[0]).norm();
    for (const double tolerance : {0.0, 0.025}) {
        const PrintSurface s = surface_of(bar, {.cubes_per_radius = 3.0, .tolerance = tolerance});
        check_good(s);
        CHECK(euler(s) == 2);
        CHECK(rel_err(enclosed_volume(s), pi * r * r * L) < 0.01);
        CHECK(enclosed_volume(s) < pi * r * r * L); // from within
        CHECK(rel_err(area(s), 2.0 * pi * r * (L + r)) < 0.01);
    }
}

TEST_CASE("strut surface: the volume's error goes with the square of the cube") {
    // Marching tetrahedra alone, cubes halved twice. The grid meets the bar elsewhere each time,
    // which moves single errors by some per cent.
    const double r = 0.4 * mm;
    const BeamMesh bar = slanting_bar(r);
    const double exact = pi * r * r * (bar.nodes[1] - bar.nodes[0]).norm();
    std::vector<double> errors;
    for (const double n : {1.5, 3.0, 6.0})
        errors.push_back(
            1.0 -
            enclosed_volume(surface_of(bar, {.cubes_per_radius = n, .tolerance = 0.0})) / exact);
    for (int i = 0; i < 2; ++i)
        CHECK(std::abs(std::log2(errors[i] / errors[i + 1]) - 2.0) < 0.15);
}

TEST_CASE("strut surface: a closed ring of bars has Euler number 0 and its volume") {
    const double r = 0.4 * mm, a = 5.0 * mm;
    const Vec3 o(1.1 * mm, 1.2 * mm, 1.3 * mm);
    const BeamMesh ring = bars_of({o, o + Vec3(a, 0, 0), o + Vec3(a, a, 0), o + Vec3(0, a, 0)},
                                  {{0, 1}, {1, 2}, {2, 3}, {3, 0}}, r, Vec3::Constant(7.5 * mm));
    const PrintSurface s = surface_of(ring, {});
    check_good(s);
    CHECK(euler(s) == 0);
    // Four cylinders of length a; at each corner the quarter bicylinder of both (16 r^3 / 3 / 4,
    // Archimedes) is counted twice, and a quarter ball lies outside of them (pi r^3 / 3).
    const double exact = 4.0 * (pi * r * r * a - 4.0 / 3.0 * r * r * r + pi / 3.0 * r * r * r);
    CHECK(rel_err(enclosed_volume(s), exact) < 0.01);
}

TEST_CASE("strut surface: an end cut by a side of the box is flat in that side") {
    const double r = 0.5 * mm;
    const Vec3 box = Vec3::Constant(6.0 * mm);
    const BeamMesh bar =
        bars_of({Vec3(2.0, 2.0, 0.0) * mm, Vec3(4.0, 3.0, 6.0) * mm}, {{0, 1}}, r, box);
    const PrintSurface s = surface_of(bar, {.cubes_per_radius = 4.0});
    check_good(s);
    double high = 0.0; // the surface begins at 0
    for (std::size_t i = 0; i < s.points.size(); ++i)
        high = std::max(high, at(s, static_cast<Index>(i)).z());
    // Corners keep 2 % of an edge of h = r / 4 away from grid nodes, and thinning 2.5 % of r; ends
    // across the bar would stand out by r sin(20.4 degrees) = 0.35 r each.
    CHECK(std::abs(high - box.z()) < 2.0 * (0.02 / 4.0 + 0.025) * r);
    // as much above the axis as below: the volume is that of square ends
    CHECK(rel_err(enclosed_volume(s), pi * r * r * (bar.nodes[1] - bar.nodes[0]).norm()) < 0.01);
}

TEST_CASE("strut surface: thinning keeps the volume, and its points near the round") {
    const double r = 0.4 * mm, tolerance = 0.025;
    const BeamMesh bar = slanting_bar(r);
    const PrintSurface fine = surface_of(bar, {.tolerance = 0.0});
    const PrintSurface thin = surface_of(bar, {.tolerance = tolerance});
    CHECK(thin.triangles.size() < fine.triangles.size() / 10);
    CHECK(rel_err(enclosed_volume(thin), enclosed_volume(fine)) < 1e-6); // single precision
    const Vec3 along = bar.nodes[1] - bar.nodes[0];
    const Vec3 middle = centroid(thin); // on the axis, half-way; the surface begins elsewhere
    for (std::size_t i = 0; i < thin.points.size(); ++i) {
        const Vec3 w = at(thin, static_cast<Index>(i)) - middle;
        const double away = w.cross(along.normalized()).norm() / r;
        if (std::abs(w.dot(along.normalized())) < 0.5 * along.norm() - r) // 1 %: the middle
            CHECK(std::abs(away - 1.0) < tolerance + 0.01);
        else // the sharp rim of the end, which cubes of r / 3 blunt by half a cube
            CHECK(away < 1.0 + 0.5 / 3.0);
    }
}

TEST_CASE("strut surface: cells are closed, of the promised volume, and hang together as drawn") {
    // A net of V joints and E struts thickened has Euler number 2 (V - E), while no struts but
    // those of a joint touch. Volume: union of the round struts by density/rod_union, another
    // method; 1 %: 0.5 % of facets, the rest for creases bridged within a cube.
    struct Row {
        std::string cell;
        double density;
        std::array<Index, 3> tiles;
    };
    for (const Row& row : {Row{"body_centred", 0.1, {2, 1, 1}}, Row{"octet", 0.2, {1, 1, 1}},
                           Row{"diamond", 0.1, {1, 1, 1}}}) {
        CAPTURE(row.cell);
        const BeamMesh mesh =
            build_specimen(find_cell(row.cell), {.tiles = row.tiles, .densities = {row.density}});
        const PrintSurface s = surface_of(mesh, {}, row.tiles);
        check_good(s);
        CHECK(euler(s) == 2 * (n_joints(mesh) - n_struts(mesh)));
        CHECK(rel_err(enclosed_volume(s), mesh.solid_volume) < 0.01);
    }
}

TEST_CASE("strut surface: layers of different density have their volume, without a seam") {
    const BeamMesh mesh =
        build_specimen(find_cell("body_centred"), {.tiles = {1, 1, 2}, .densities = {0.1, 0.2}});
    const PrintSurface s = surface_of(mesh, {}, {1, 1, 2});
    check_good(s);
    CHECK(rel_err(enclosed_volume(s), mesh.solid_volume) < 0.01);
}

TEST_CASE("strut surface: tiles of other sizes give the same solid; like tiles are built once") {
    const BeamMesh mesh =
        build_specimen(find_cell("simple_cubic"), {.tiles = {3, 3, 3}, .densities = {0.1}});
    const Vec3 cell = mesh.box / 3.0;
    const StrutSurfaceOptions coarse{.cubes_per_radius = 2.0};
    const TiledStruts tiled = tile_struts(mesh, cell, coarse);
    CHECK(tiled.pieces.size() <= 27); // lower side, upper side and between, along each axis
    CHECK(tiled.places.size() >= 4 * 4 * 4);
    const PrintSurface s = strut_surface(tiled);
    check_good(s);
    const PrintSurface other =
        strut_surface(tile_struts(mesh, Vec3(cell.x() * 0.77, cell.y(), cell.z() * 1.31), coarse));
    check_good(other);
    CHECK(euler(other) == euler(s));
    CHECK(rel_err(enclosed_volume(other), enclosed_volume(s)) < 5e-3);
    const PrintSurface again = strut_surface(tile_struts(mesh, cell, coarse));
    CHECK(again.points == s.points);
    CHECK(again.triangles == s.triangles);
}

TEST_CASE("strut surface: a grid too coarse to tell a strut is refused") {
    const std::string what =
        message_of([] { (void)surface_of(slanting_bar(0.4 * mm), {.cubes_per_radius = 0.5}); });
    CHECK(what.find("0.5 cubes a radius") != std::string::npos);
}
