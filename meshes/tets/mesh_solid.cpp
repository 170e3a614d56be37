// SPDX-License-Identifier: Apache-2.0
#include "meshes/tets/mesh_solid.hpp"

#include "meshes/tets/creases.hpp"
#include "meshes/tets/curve_edges.hpp"
#include "meshes/tets/fit_volume.hpp"
#include "meshes/tets/improve_tets.hpp"
#include "meshes/tets/pinches.hpp"
#include "meshes/tets/place_order.hpp"
#include "meshes/tets/stuffing.hpp"
#include "meshes/tets/surface_faces.hpp"
#include "meshes/tets/tet_parts.hpp"
#include "meshes/tets/tet_shape.hpp"
#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <map>
#include <numbers>
#include <unordered_map>

namespace cellgrade {

namespace {

constexpr double most_cubes = 4e7;
constexpr double small_part = 0.005;  ///< share of the volume that may be loose
constexpr double most_shift = 0.06;   ///< share of a cube
constexpr double seen_rounding = 0.5; ///< share of a cube: smaller fillets are creases
constexpr int sweeps = 4;

std::array<Index, 3> cubes_of(const ImplicitSolid& solid, const TetOptions& options) {
    const double size =
        options.element_size > 0.0 ? options.element_size : solid.narrowest / options.across;
    CELLGRADE_CHECK(size > 0.0 && std::isfinite(size),
                    "element size {} m is not allowed; a length above 0 is needed", size);
    CELLGRADE_CHECK(!(solid.narrowest > 0.0) || size <= solid.narrowest,
                    "elements of {:.4g} mm are larger than the narrowest wall or strut, about "
                    "{:.3g} mm; at most that is needed, half of it is better",
                    1e3 * size, 1e3 * solid.narrowest);
    std::array<Index, 3> cubes;
    double all = 1.0;
    for (int axis = 0; axis < 3; ++axis) {
        // with two cubes a period an edge and its copy have the same ends, like parts that touch
        const double least = solid.periodic[axis] ? 3.0 : 1.0;
        const double n = std::max(std::round(solid.box[axis] / size), least);
        all *= n;
        cubes[axis] = static_cast<Index>(std::min(n, most_cubes));
    }
    CELLGRADE_CHECK(all <= most_cubes,
                    "elements of {:.4g} mm in a box of {:.4g} x {:.4g} x {:.4g} mm: {:.3g} grid "
                    "cubes, {:.3g} are possible; larger elements or a smaller specimen are needed",
                    1e3 * size, 1e3 * solid.box.x(), 1e3 * solid.box.y(), 1e3 * solid.box.z(), all,
                    most_cubes);
    return cubes;
}

void keep_one_part(LinearTets& tets, const Log& log) {
    const DroppedParts dropped = drop_small_parts(tets);
    if (dropped.parts == 0)
        return;
    CELLGRADE_CHECK(dropped.volume_share < small_part,
                    "the solid falls into {} parts that do not hang together, {:.1f} % of its "
                    "volume outside the largest; a cell that is in one piece, thicker walls or a "
                    "smaller element size is needed",
                    dropped.parts + 1, 100.0 * dropped.volume_share);
    log.write(LogLevel::Warning, "{} loose parts dropped, {:.3g} % of the volume", dropped.parts,
              100.0 * dropped.volume_share);
}

/// The promise of mesh_solid() on shape, kept by measuring.
void check_angles(const LinearTets& tets) {
    for (const Corners& t : tets.tets) {
        const Vec3& x = tets.nodes[t[0]];
        const TetShape shape = tet_shape(x, tets.nodes[t[1]], tets.nodes[t[2]], tets.nodes[t[3]]);
        CELLGRADE_CHECK(shape.volume > 0.0 && shape.smallest_dihedral > least_dihedral,
                        "a tetrahedron at ({:.4g}, {:.4g}, {:.4g}) mm has a dihedral angle of "
                        "{:.2g} degrees, {:.2g} are promised; another element size is needed",
                        1e3 * x.x(), 1e3 * x.y(), 1e3 * x.z(),
                        shape.smallest_dihedral * 180.0 / std::numbers::pi,
                        least_dihedral * 180.0 / std::numbers::pi);
    }
}

/// Copies among edge middles: both ends on a common far side.
void add_middle_copies(TetMesh& mesh, const EdgeMiddles& middles) {
    std::map<std::array<double, 3>, Index> near; // edge middles on periodic sides by position
    const auto image_of = [&](const Vec3& x) {
        Vec3i image = Vec3i::Zero();
        for (int axis = 0; axis < 3; ++axis)
            image[axis] = mesh.periodic[axis] && x[axis] == mesh.box[axis] ? 1 : 0;
        return image;
    };
    const auto on_near = [&](const Vec3& x) {
        for (int axis = 0; axis < 3; ++axis)
            if (mesh.periodic[axis] && x[axis] == 0.0)
                return true;
        return false;
    };
    for (std::size_t e = 0; e < middles.at.size(); ++e) {
        const Vec3& x = middles.at[e];
        if (on_near(x) && image_of(x).isZero())
            near.emplace(std::array<double, 3>{x[0], x[1], x[2]},
                         mesh.n_corners + static_cast<Index>(e));
    }
    for (std::size_t e = 0; e < middles.at.size(); ++e) {
        const Vec3i image = image_of(middles.at[e]);
        if (image.isZero())
            continue;
        Vec3 x = middles.at[e];
        for (int axis = 0; axis < 3; ++axis)
            if (image[axis] != 0)
                x[axis] = 0.0;
        const auto original = near.find({x[0], x[1], x[2]});
        if (original == near.end())
            continue; // the solid touches this side in an edge alone: nothing opposite
        mesh.copies.push_back({mesh.n_corners + static_cast<Index>(e), original->second, image});
    }
}

TetMesh assemble(const LinearTets& tets, const EdgeMiddles& middles, const ImplicitSolid& solid) {
    TetMesh mesh;
    mesh.box = solid.box;
    mesh.periodic = solid.periodic;
    mesh.nodes = tets.nodes;
    mesh.n_corners = static_cast<Index>(tets.nodes.size());
    mesh.nodes.insert(mesh.nodes.end(), middles.at.begin(), middles.at.end());
    mesh.copies = tets.copies;
    add_middle_copies(mesh, middles);
    mesh.tets.resize(tets.tets.size());
    std::unordered_map<std::uint64_t, Index> number;
    number.reserve(middles.ends.size());
    for (std::size_t e = 0; e < middles.ends.size(); ++e)
        number.emplace(edge_key(middles.ends[e][0], middles.ends[e][1]),
                       mesh.n_corners + static_cast<Index>(e));
    for (std::size_t t = 0; t < tets.tets.size(); ++t) {
        std::copy(tets.tets[t].begin(), tets.tets[t].end(), mesh.tets[t].begin());
        for (int i = 0; i < 6; ++i)
            mesh.tets[t][4 + i] = mesh.n_corners + middles.of_tet[t][i];
    }
    for (const auto& f : free_faces(tets))
        mesh.surface.push_back({f[0], f[1], f[2], number.at(edge_key(f[0], f[1])),
                                number.at(edge_key(f[1], f[2])), number.at(edge_key(f[2], f[0]))});
    for (std::size_t n = 0; n < mesh.nodes.size(); ++n) {
        if (mesh.nodes[n].z() == 0.0)
            mesh.bottom.push_back(static_cast<Index>(n));
        if (mesh.nodes[n].z() == mesh.box.z())
            mesh.top.push_back(static_cast<Index>(n));
    }
    return mesh;
}

} // namespace

TetMesh mesh_solid(const ImplicitSolid& given, const TetOptions& options, const Log& log) {
    const std::array<Index, 3> cubes = cubes_of(given, options);
    double cube = given.box[0] / cubes[0];
    for (int axis = 1; axis < 3; ++axis)
        cube = std::min(cube, given.box[axis] / cubes[axis]);
    ImplicitSolid solid = given;
    if (solid.rounding > seen_rounding * cube)
        solid.pieces = nullptr; // the elements follow the fillet
    else if (solid.rounding > 0.0)
        log.write(LogLevel::Decision,
                  "fillets of {:.3g} mm are too small for elements of {:.3g} mm: meshed as creases",
                  1e3 * solid.rounding, 1e3 * cube);
    LinearTets tets = stuff(solid, cubes);
    if (const Index n = remove_pinches(tets, solid, cube); n > 0)
        log.write(LogLevel::Decision, "{} tetrahedra taken away where parts touch along an edge",
                  n);
    keep_one_part(tets, log);
    snap_to_creases(tets, solid, cube);
    if (options.low_share > 0.0)
        improve_tets(tets, solid, options.low_share * cube, sweeps);
    sort_by_place(tets, cube);
    EdgeMiddles middles = straight_middles(tets);
    VolumeFit fit;
    if (options.curved && options.volume > 0.0)
        fit = fit_volume(tets, middles, solid, options.volume, most_shift * cube);
    else if (options.curved)
        curve_edges(middles, tets, solid);
    check_angles(tets);
    if (middles.n_straight > 0)
        log.write(LogLevel::Decision, "{} of {} edges left straight so that no element inverts",
                  middles.n_straight, middles.ends.size());
    TetMesh mesh = assemble(tets, middles, solid);
    mesh.surface_shift = fit.shift;
    return mesh;
}

} // namespace cellgrade
