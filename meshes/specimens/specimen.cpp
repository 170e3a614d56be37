// SPDX-License-Identifier: Apache-2.0
#include "meshes/specimens/specimen.hpp"

#include "meshes/beams/audit.hpp"
#include "meshes/catalogue/strut_net.hpp"
#include "meshes/density/solid_fraction.hpp"
#include "meshes/specimens/loose_pieces.hpp"
#include "meshes/specimens/tiling.hpp"
#include "solver/core/error.hpp"

#include <cmath>

namespace cellgrade {
namespace {

constexpr double largest_loose_share = 0.05;

void check_plan(const StrutCell& cell, const SpecimenPlan& plan) {
    CELLGRADE_CHECK(cell.lattice.isDiagonal() && cell.lattice.diagonal().minCoeff() > 0.0,
                    "cell '{}' cannot be crushed: a right-angled box along x, y, z is needed "
                    "(size_mm, not oblique vectors_mm); describe the same lattice by such a cell",
                    cell.name);
    for (const Index n : plan.tiles)
        CELLGRADE_CHECK(n >= 1 && n <= 1000, "{} cells along an axis is not allowed; 1 to 1000 is",
                        n);
    CELLGRADE_CHECK(std::isfinite(plan.diameter) && plan.diameter >= 0.0,
                    "strut diameter {} m is not allowed; a number above 0 is needed",
                    plan.diameter);
    CELLGRADE_CHECK(plan.diameter == 0.0 || plan.densities.empty(),
                    "a strut diameter and relative densities are both given; only one is allowed");
    CELLGRADE_CHECK(plan.diameter > 0.0 || !plan.densities.empty() || !cell.diameters.empty(),
                    "cell '{}' has no strut diameters; give a diameter or a relative density",
                    cell.name);
    const auto n_layers = static_cast<std::size_t>(plan.tiles[2]);
    CELLGRADE_CHECK(plan.densities.size() <= 1 || plan.densities.size() == n_layers,
                    "{} relative densities are given for {} layers of cells; give 1 or {}",
                    plan.densities.size(), n_layers, n_layers);
    plan.imperfections.check();
    if (!cell.is_whole)
        return;
    CELLGRADE_CHECK(plan.tiles == (std::array<Index, 3>{1, 1, 1}) &&
                        plan.sides != Sides::Periodic && plan.ends != Ends::Periodic,
                    "the lattice '{}' is whole: it is neither repeated nor made endless",
                    cell.name);
    CELLGRADE_CHECK(plan.densities.empty(),
                    "the lattice '{}' is whole and no cell: its struts take a diameter, not a "
                    "relative density",
                    cell.name);
}

std::vector<std::vector<double>> drawn_diameters(const StrutCell& cell, const SpecimenPlan& plan) {
    const auto n_layers = static_cast<std::size_t>(plan.tiles[2]);
    if (plan.densities.empty())
        return {n_layers,
                plan.diameter > 0.0 ? strut_diameters(cell, plan.diameter) : cell.diameters};
    std::vector<std::vector<double>> layers;
    for (std::size_t k = 0; k < n_layers; ++k) {
        if (k > 0 && (plan.densities.size() == 1 || plan.densities[k] == plan.densities[k - 1]))
            layers.push_back(layers.back());
        else
            layers.push_back(diameters_for_density(cell, plan.densities[k]));
    }
    return layers;
}

std::vector<std::vector<double>> layer_diameters(const StrutCell& cell, const SpecimenPlan& plan) {
    std::vector<std::vector<double>> layers = drawn_diameters(cell, plan);
    for (std::vector<double>& layer : layers)
        for (double& diameter : layer) {
            CELLGRADE_CHECK(diameter + plan.diameter_offset > 0.0,
                            "a printer that makes struts {:.3g} mm thinner leaves nothing of one "
                            "drawn {:.3g} mm thick; draw it thicker",
                            -1e3 * plan.diameter_offset, 1e3 * diameter);
            diameter += plan.diameter_offset;
        }
    return layers;
}

/// The limit is one of the drawing, whatever the printer then makes of it.
void check_printable(const StrutNet& net, const SpecimenPlan& plan) {
    std::size_t n_thin = 0;
    std::size_t first = 0;
    const auto drawn = [&](std::size_t i) {
        return 2.0 * net.struts[i].radius - plan.diameter_offset;
    };
    for (std::size_t i = net.struts.size(); i-- > 0;)
        if (drawn(i) < plan.least_diameter) {
            ++n_thin;
            first = i;
        }
    if (n_thin == 0)
        return;
    const Vec3 at = 1e3 * net.nodes[net.struts[first].a];
    throw input_error("strut {} at ({:.4g}, {:.4g}, {:.4g}) mm has diameter {:.4g} mm, below the "
                      "least printable {:.4g} mm (and {} more); raise the density or the cell size",
                      first, at.x(), at.y(), at.z(), 1e3 * drawn(first), 1e3 * plan.least_diameter,
                      n_thin - 1);
}

/// A single strut that ends in the open carries no joint: its end is flat, like a cut.
void flatten_single_ends(StrutNet& net) {
    std::vector<int> degree(net.nodes.size(), 0);
    for (const NetStrut& strut : net.struts) {
        ++degree[strut.a];
        ++degree[strut.b];
    }
    for (std::size_t n = 0; n < degree.size(); ++n)
        if (degree[n] == 1)
            net.is_cut[n] = true;
}

} // namespace

StrutNet specimen_net(const StrutCell& cell, const SpecimenPlan& plan, const Log& log) {
    check_plan(cell, plan);
    StrutNet net = tile(cell, plan, layer_diameters(cell, plan));
    const LoosePieces loose = drop_loose_pieces(net);
    CELLGRADE_CHECK(loose.length_share <= largest_loose_share,
                    "{:.1f} % of the strut length of cell '{}' hangs loose once it is cut at the "
                    "faces; use periodic sides or another cell",
                    100.0 * loose.length_share, cell.name);
    if (loose.struts > 0)
        log.write(LogLevel::Warning,
                  "dropped {} struts in {} loose pieces left by the cuts ({:.2f} % of the length)",
                  loose.struts, loose.pieces, 100.0 * loose.length_share);
    flatten_single_ends(net);
    if (plan.least_diameter > 0.0)
        check_printable(net, plan);
    return net;
}

BeamMesh build_specimen(const StrutCell& cell, const SpecimenPlan& plan, const Log& log) {
    const BeamMesh mesh = subdivide(specimen_net(cell, plan, log), plan.beams);
    check_beam_mesh(mesh);
    log.write(LogLevel::Phase, "specimen: {} nodes, {} elements", mesh.nodes.size(),
              mesh.elements.size());
    return mesh;
}

} // namespace cellgrade
