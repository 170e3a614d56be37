// SPDX-License-Identifier: Apache-2.0
#include "meshes/print/print_surface.hpp"
#include "meshes/print/stl_file.hpp"
#include "meshes/print/three_mf_file.hpp"

#include "meshes/quality/tet_quality.hpp"
#include "meshes/tets/mesh_solid.hpp"
#include "solver/core/keyed_file.hpp"
#include "solver/core/units.hpp"
#include "tests/support/compare.hpp"
#include "tests/support/scratch.hpp"
#include "tests/unit/meshes/sample_solids.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cstring>
#include <map>

using namespace cellgrade;
using test::message_of;
using test::rel_err;

namespace {

using Point = std::array<float, 3>;

const PrintLabel label{.title = "sample",
                       .application = "tests",
                       .cell = "ball & rod",
                       .relative_density = 0.25,
                       .cell_size = Vec3::Constant(5e-3)};

TetMesh mesh_of(const ImplicitSolid& solid, double size) {
    return mesh_solid(solid, {.element_size = size});
}

/// A binary STL as a reader of its own sees it.
struct Stl {
    std::string header;
    std::vector<std::array<Point, 3>> triangles;
    std::vector<Point> normals;
};

Stl read_stl(const std::string& bytes) {
    Stl stl{.header = bytes.substr(0, 80)};
    std::uint32_t count = 0;
    std::memcpy(&count, &bytes[80], 4);
    REQUIRE(bytes.size() == 84 + 50 * std::size_t{count});
    for (std::size_t i = 0; i < count; ++i) {
        Point normal;
        std::array<Point, 3> corners;
        std::memcpy(normal.data(), &bytes[84 + 50 * i], 12);
        std::memcpy(corners.data(), &bytes[96 + 50 * i], 36);
        stl.normals.push_back(normal);
        stl.triangles.push_back(corners);
    }
    return stl;
}

Vec3 vec(const Point& x) {
    return {double{x[0]}, double{x[1]}, double{x[2]}};
}

/// Edges, by the places of their ends, that do not have exactly one triangle in each direction.
int open_edges(const Stl& stl) {
    std::map<std::pair<Point, Point>, int> edges;
    for (const auto& t : stl.triangles)
        for (int i = 0; i < 3; ++i)
            ++edges[{t[i], t[(i + 1) % 3]}];
    int open = 0;
    for (const auto& [edge, n] : edges) {
        const auto back = edges.find({edge.second, edge.first});
        open += n != 1 || back == edges.end() || back->second != 1 ? 1 : 0;
    }
    return open;
}

/// [mm^3]
double volume(const Stl& stl) {
    double six = 0.0;
    for (const auto& t : stl.triangles)
        six += vec(t[0]).dot(vec(t[1]).cross(vec(t[2])));
    return six / 6.0;
}

Stl written_stl(const TetMesh& mesh) {
    const test::ScratchFolder folder;
    write_stl(folder / "part.stl", print_surface(mesh), label);
    return read_stl(read_text_file(folder / "part.stl"));
}

/// What cutting off the bows takes, to first order: a face of area A leaves its four flat parts by
/// 4 xi_i xi_j b less the piecewise linear part, whose mean over the face is b (1/3 - 1/4) = b / 12
/// for each edge of bow b.
struct BowVolume {
    double signed_volume = 0.0, absolute = 0.0;
};

BowVolume bow_volume(const TetMesh& mesh) {
    BowVolume bows;
    for (const FaceNodes& f : mesh.surface) {
        const std::array<Vec3, 3> x = {mesh.nodes[f[0]], mesh.nodes[f[1]], mesh.nodes[f[2]]};
        const Vec3 area = 0.5 * (x[1] - x[0]).cross(x[2] - x[0]);
        for (int i = 0; i < 3; ++i) {
            const Vec3 bow = mesh.nodes[f[3 + i]] - 0.5 * (x[i] + x[(i + 1) % 3]);
            bows.signed_volume += area.dot(bow) / 12.0;
            bows.absolute += area.norm() * bow.norm() / 12.0;
        }
    }
    return bows;
}

/// Two tetrahedra of straight edges with the given corners.
TetMesh two_tets(const std::vector<Vec3>& corners, const std::array<std::array<Index, 4>, 2>& of) {
    constexpr std::array<std::array<int, 2>, 6> edges = {
        {{0, 1}, {1, 2}, {2, 0}, {0, 3}, {1, 3}, {2, 3}}};
    constexpr std::array<std::array<int, 6>, 4> faces = {
        {{0, 2, 1, 6, 5, 4}, {1, 2, 3, 5, 9, 8}, {0, 3, 2, 7, 9, 6}, {0, 1, 3, 4, 8, 7}}};
    TetMesh mesh{.nodes = corners,
                 .n_corners = static_cast<Index>(corners.size()),
                 .box = Vec3::Constant(1.0)};
    std::map<std::pair<Index, Index>, Index> middle;
    for (const auto& corner : of) {
        TetNodes tet;
        std::copy(corner.begin(), corner.end(), tet.begin());
        for (int e = 0; e < 6; ++e) {
            const Index a = corner[edges[e][0]], b = corner[edges[e][1]];
            const auto [known, is_new] =
                middle.try_emplace(std::minmax(a, b), static_cast<Index>(mesh.nodes.size()));
            if (is_new)
                mesh.nodes.emplace_back(0.5 * (corners[a] + corners[b]));
            tet[4 + e] = known->second;
        }
        mesh.tets.push_back(tet);
        for (const auto& face : faces) {
            FaceNodes f;
            for (int i = 0; i < 6; ++i)
                f[i] = tet[face[i]];
            mesh.surface.push_back(f);
        }
    }
    return mesh;
}

} // namespace

TEST_CASE("print surface: closed, outward, of the mesh's volume less what the bows hold") {
    // Sides of periodic axes are closed too. Tolerance: terms of second order in bow / edge length,
    // which is below a twentieth on these meshes; rounding to single precision 6e-8 of a length.
    const std::vector<std::pair<ImplicitSolid, double>> samples = {
        {test::ball(0.4), 0.1}, {test::rod(0.3), 0.1}, {test::gyroid_wall(0.5), 0.06}};
    for (const auto& [solid, size] : samples) {
        const TetMesh mesh = mesh_of(solid, size);
        const Stl stl = written_stl(mesh);
        CHECK(stl.triangles.size() >= 4 * mesh.surface.size());
        CHECK(open_edges(stl) == 0);
        const BowVolume bows = bow_volume(mesh);
        const double lost = curved_volume(mesh) - 1e-9 * volume(stl);
        CHECK(std::abs(lost - bows.signed_volume) < 0.1 * bows.absolute + 1e-6 * mesh.box.prod());
        CHECK(rel_err(enclosed_volume(print_surface(mesh)), 1e-9 * volume(stl)) < 1e-12);
    }
}

TEST_CASE("print surface: a cut block has its exact volume and area") {
    const TetMesh mesh = mesh_of(
        test::solid_of(Vec3(1.0, 1.0, 1.0), [](const Vec3& x) { return x.x() - 0.63; }), 0.2);
    const Stl stl = written_stl(mesh);
    CHECK(open_edges(stl) == 0);
    CHECK(rel_err(volume(stl), 0.63e9) < 1e-6); // single precision
    double area = 0.0;
    for (const auto& t : stl.triangles)
        area += 0.5 * (vec(t[1]) - vec(t[0])).cross(vec(t[2]) - vec(t[0])).norm();
    CHECK(rel_err(area, (2.0 + 4.0 * 0.63) * 1e6) < 1e-6);
}

TEST_CASE("print surface: a ball's volume, from within, and its outward normals") {
    // Points lie on the sphere within their own error; a chord of length c leaves it by c^2 / 8 R.
    const double radius = 0.4, size = 0.1;
    const Stl stl = written_stl(mesh_of(test::ball(radius), size));
    const double exact = 4.0 / 3.0 * std::numbers::pi * std::pow(1e3 * radius, 3.0);
    const double chord = 0.5 * std::sqrt(2.0) * size; // half the longest grid edge of the surface
    CHECK(volume(stl) < exact);
    CHECK(volume(stl) > exact * (1.0 - 3.0 * chord * chord / (8.0 * radius * radius)));
    for (std::size_t i = 0; i < stl.triangles.size(); ++i) {
        const auto& t = stl.triangles[i];
        const Vec3 out = (vec(t[0]) + vec(t[1]) + vec(t[2])) / 3.0 - 1e3 * Vec3(0.5, 0.49, 0.52);
        const Vec3 n = (vec(t[1]) - vec(t[0])).cross(vec(t[2]) - vec(t[0]));
        CHECK(n.dot(out) > 0.0);
        CHECK((n.normalized() - vec(stl.normals[i])).norm() < 1e-6);
    }
}

TEST_CASE("print surface: touching along an edge and points too near are refused with the place") {
    const std::vector<Vec3> corners = {Vec3(0.5, 0.5, 0.1), Vec3(0.5, 0.5, 0.9),
                                       Vec3(0.9, 0.5, 0.5), Vec3(0.9, 0.9, 0.5),
                                       Vec3(0.1, 0.5, 0.5), Vec3(0.1, 0.1, 0.5)};
    const TetMesh touching = two_tets(corners, {{{0, 2, 3, 1}, {0, 4, 5, 1}}});
    const std::string edge = message_of([&] { (void)print_surface(touching); });
    CHECK(edge.starts_with("the surface touches itself along an edge at (500, 500, "));
    TetMesh near = two_tets(corners, {{{0, 2, 3, 1}, {0, 2, 3, 1}}});
    near.tets.pop_back();
    near.surface.resize(4);
    CHECK(print_surface(near).triangles.size() == 16);
    for (Vec3& x : near.nodes)
        x = Vec3::Constant(0.9) + 1e-9 * x; // single precision tells 6e-8 m here
    const std::string together = message_of([&] { (void)print_surface(near); });
    CHECK(together.starts_with("two points of the surface fall together at (900, 900, 900) mm"));
    near.surface.pop_back();
    const std::string open = message_of([&] { (void)print_surface(near); });
    CHECK(open.starts_with("the surface is open at (900, 900, 900) mm"));
}

TEST_CASE("print surface: pieces and closed voids have their own volume and sign") {
    // A block with a ball of void inside; tolerance of the ball as above, of the block rounding.
    const ImplicitSolid block = test::solid_of(Vec3::Constant(1.0), [](const Vec3& x) {
        return 0.3 - (x - Vec3(0.5, 0.49, 0.52)).norm();
    });
    std::vector<double> volumes = shell_volumes(print_surface(mesh_of(block, 0.1)));
    std::sort(volumes.begin(), volumes.end());
    REQUIRE(volumes.size() == 2);
    const double ball = 4.0 / 3.0 * std::numbers::pi * 0.027;
    const double chord = 0.5 * std::sqrt(2.0) * 0.1;
    CHECK(rel_err(-volumes[0], ball) < 3.0 * chord * chord / (8.0 * 0.09));
    CHECK(rel_err(volumes[1], 1.0) < 1e-6);
}

TEST_CASE("STL: header names the unit and is not taken for the text form; same bytes twice") {
    // Layout: common practice, no source; 80 bytes, a count, 50 bytes a triangle (read_stl).
    const test::ScratchFolder folder;
    const PrintSurface surface = print_surface(mesh_of(test::ball(0.4), 0.2));
    write_stl(folder / "a.stl", surface, label);
    write_stl(folder / "b.stl", surface, label);
    const std::string bytes = read_text_file(folder / "a.stl");
    CHECK(bytes == read_text_file(folder / "b.stl"));
    CHECK(bytes.starts_with("binary STL, units: mm, ball & rod, relative density 0.25 "));
    CHECK(read_stl(bytes).triangles.size() == surface.triangles.size());
    PrintLabel wordy = label;
    wordy.cell = std::string(200, 'x');
    write_stl(folder / "c.stl", surface, wordy);
    CHECK(read_text_file(folder / "c.stl").substr(80) == bytes.substr(80));
}

TEST_CASE("3MF: a plain archive dated 1980-01-01, same bytes twice") {
    // PKWARE, APPNOTE.TXT 6.3: local file header; version 4, flags 6, method 8, time 10, date 12.
    const test::ScratchFolder folder;
    const PrintSurface surface = print_surface(mesh_of(test::ball(0.4), 0.2));
    write_3mf(folder / "a.3mf", surface, label);
    write_3mf(folder / "b.3mf", surface, label);
    const std::string bytes = read_text_file(folder / "a.3mf");
    CHECK(bytes == read_text_file(folder / "b.3mf"));
    const auto number = [&](std::size_t at) {
        std::uint16_t value = 0;
        std::memcpy(&value, &bytes[at], 2);
        return value;
    };
    CHECK(bytes.starts_with(std::string("PK\x03\x04")));
    CHECK(number(4) <= 20); // 45 and above is ZIP64
    CHECK(number(8) == 8);  // deflated
    CHECK(number(10) == 0);
    CHECK(number(12) == 0x21); // (1980 - 1980) << 9 | 1 << 5 | 1
    CHECK(bytes.substr(30, 19) == "[Content_Types].xml");
}

TEST_CASE("3MF: an archive that cannot be written leaves nothing and tells why") {
    const test::ScratchFolder folder;
    const PrintSurface surface = print_surface(mesh_of(test::ball(0.4), 0.2));
    const std::string what = message_of([&] { write_3mf(folder / "no/part.3mf", surface, label); });
    CHECK(what.find("part.3mf: cannot be written: no such file or directory") != std::string::npos);
}
