// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/beam_block.hpp"

#include "solver/core/error.hpp"
#include "solver/core/sums.hpp"

#include <cmath>
#include <numbers>
#include <utility>

namespace cellgrade {
namespace {

/// Shortest turn of the x axis onto the unit vector u; for u near -x by way of half a turn about z,
/// since 1 + u_x would lose its digits there.
std::array<double, 4> frame_along(const Vec3& u) {
    const double w = 1.0 + std::abs(u.x());
    const double norm = std::sqrt(w * w + u.y() * u.y() + u.z() * u.z());
    if (u.x() >= 0.0)
        return {w / norm, 0.0, -u.z() / norm, u.y() / norm};
    // turn of -x onto u, times half a turn about z: (w, 0, uz, -uy) (0, 0, 0, 1)
    return {u.y() / norm, u.z() / norm, 0.0, w / norm};
}

BeamGroup inert_group() {
    BeamGroup group{};
    group.h.fill(1.0);
    group.inv_h.fill(1.0);
    group.q0[0].fill(1.0);
    return group;
}

Vec3 reference_span(const BeamMesh& mesh, const BeamElement& element, std::size_t e) {
    const auto n_nodes = static_cast<Index>(mesh.nodes.size());
    for (const Index node : {element.a, element.b})
        CELLGRADE_CHECK(node >= 0 && node < n_nodes, "beam element {}: node {} is outside 0 .. {}",
                        e, node, n_nodes - 1);
    const Vec3 shift = element.image_b.cast<double>().cwiseProduct(mesh.box);
    const Vec3 span = mesh.nodes[element.b] + shift - mesh.nodes[element.a];
    CELLGRADE_CHECK(span.norm() > 0.0 && std::isfinite(span.norm()),
                    "beam element {}: its ends (nodes {} and {}) are {} m apart; a length above 0 "
                    "is needed",
                    e, element.a, element.b, span.norm());
    CELLGRADE_CHECK(element.radius > 0.0 && std::isfinite(element.radius),
                    "beam element {}: radius {} m must be above 0", e, element.radius);
    CELLGRADE_CHECK(element.stiffness_factor > 0.0 && std::isfinite(element.stiffness_factor),
                    "beam element {}: stiffness factor {} must be above 0", e,
                    element.stiffness_factor);
    return span;
}

void fill_lane(BeamGroup& group,
               int lane,
               const BeamElement& element,
               const Vec3& span,
               const SectionModuli& moduli) {
    const double r2 = element.radius * element.radius;
    const double A = std::numbers::pi * r2;
    const double I = 0.25 * A * r2;
    const double factor = element.stiffness_factor;
    const double h = span.norm();
    group.h[lane] = h;
    group.inv_h[lane] = 1.0 / h;
    const std::array<double, 4> q0 = frame_along(span / h);
    for (int i = 0; i < 4; ++i)
        group.q0[i][lane] = q0[i];
    for (int i = 0; i < 3; ++i)
        group.image[i][lane] = element.image_b[i];
    group.EA[lane] = factor * moduli.youngs * A;
    group.kGA[lane] = factor * moduli.shear_factor * moduli.shear * A;
    group.GJ[lane] = factor * moduli.shear * 2.0 * I;
    group.EI[lane] = factor * moduli.youngs * I;
    group.node_a[lane] = element.a;
    group.node_b[lane] = element.b;
}

} // namespace

void SectionModuli::check() const {
    CELLGRADE_CHECK(youngs > 0.0 && std::isfinite(youngs), "Young's modulus {} Pa must be above 0",
                    youngs);
    CELLGRADE_CHECK(shear > 0.0 && std::isfinite(shear), "shear modulus {} Pa must be above 0",
                    shear);
    CELLGRADE_CHECK(shear_factor > 0.0 && shear_factor <= 1.0, "shear factor {} must be in (0, 1]",
                    shear_factor);
}

double cowper_shear_factor(double poisson) {
    return 6.0 * (1.0 + poisson) / (7.0 + 6.0 * poisson);
}

SectionModuli section_moduli(double youngs, double poisson) {
    CELLGRADE_CHECK(poisson > -1.0 && poisson <= 0.5, "Poisson's ratio {} must be in (-1, 0.5]",
                    poisson);
    const SectionModuli moduli{.youngs = youngs,
                               .shear = 0.5 * youngs / (1.0 + poisson),
                               .shear_factor = cowper_shear_factor(poisson)};
    moduli.check();
    return moduli;
}

BeamBlock make_beam_block(const BeamMesh& mesh, const SectionModuli& moduli) {
    moduli.check();
    BeamBlock block;
    block.n_elements = static_cast<Index>(mesh.elements.size());
    block.n_nodes = static_cast<Index>(mesh.nodes.size());
    block.groups.assign((mesh.elements.size() + group_lanes - 1) / group_lanes, inert_group());
    for (std::size_t e = 0; e < mesh.elements.size(); ++e)
        fill_lane(block.groups[e / group_lanes], static_cast<int>(e % group_lanes),
                  mesh.elements[e], reference_span(mesh, mesh.elements[e], e), moduli);
    return block;
}

void set_bulk_viscosity(BeamBlock& block,
                        double coefficient,
                        double density,
                        const SectionModuli& moduli) {
    CELLGRADE_CHECK(coefficient >= 0.0 && std::isfinite(coefficient),
                    "bulk viscosity {} must be at least 0", coefficient);
    CELLGRADE_CHECK(density > 0.0, "density {} kg/m^3 must be above 0", density);
    moduli.check();
    // b rho A c h with A = EA / E and c = sqrt(E / rho); the stiffness factor stays in, as joints
    // are stiffer and not lighter per stiffness
    const double per_EA = coefficient * std::sqrt(density / moduli.youngs);
    block.has_viscosity = coefficient > 0.0;
    for (BeamGroup& group : block.groups)
        for (int lane = 0; lane < group_lanes; ++lane)
            group.viscosity[lane] = per_EA * group.EA[lane] * group.h[lane];
}

void element_energies(const BeamBlock& block,
                      std::span<double> stored,
                      std::span<double> dissipated) {
    for (Index e = 0; e < block.n_elements; ++e) {
        const BeamGroup& group = block.groups[e / group_lanes];
        stored[e] = group.stored[e % group_lanes];
        dissipated[e] = group.dissipated[e % group_lanes];
    }
}

BeamEnergies beam_energies(const BeamBlock& block) {
    std::vector<double> stored(block.n_elements), dissipated(block.n_elements);
    element_energies(block, stored, dissipated);
    return {.stored = ordered_sum(stored), .dissipated = ordered_sum(dissipated)};
}

} // namespace cellgrade
