// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/fibre_block.hpp"

#include "solver/core/error.hpp"
#include "solver/core/sums.hpp"

#include <cmath>

namespace cellgrade {
namespace {

/// Energy from t = 0 to t of one cell, over the knot distance.
double cell_work(const FibreTable::Cubic& c, double t) {
    return t * (c.c0 + t * (c.c1 / 2.0 + t * (c.c2 / 3.0 + t * c.c3 / 4.0)));
}

FibreTable make_fibre_table(const UniaxialTable& from) {
    const std::size_t n = from.stress_Pa.size();
    CELLGRADE_CHECK(n >= 2 && from.slope_Pa.size() == n && from.energy_J_per_m3.size() == n &&
                        from.stretch_step > 0.0,
                    "uniaxial table: {} stresses, {} slopes, {} energies, step {}; at least two "
                    "knots of each and a step above 0 are needed",
                    n, from.slope_Pa.size(), from.energy_J_per_m3.size(), from.stretch_step);
    FibreTable table;
    const double h = from.stretch_step;
    table.per_step = 1.0 / h;
    table.shift = 1.0 - from.stretch_min / h;
    table.first = 0.5;
    table.last = static_cast<double>(n) + 0.5;
    table.youngs = evaluate(from, 1.0).slope_Pa;
    // straight line that arrives at the first knot at t = 1
    const double m_first = h * from.slope_Pa.front();
    table.cells.push_back({from.stress_Pa.front() - m_first, m_first, 0.0, 0.0});
    table.energy.push_back(from.energy_J_per_m3.front() - h * cell_work(table.cells[0], 1.0));
    for (std::size_t i = 0; i + 1 < n; ++i) {
        const double m0 = h * from.slope_Pa[i], m1 = h * from.slope_Pa[i + 1];
        const double rise = from.stress_Pa[i + 1] - from.stress_Pa[i];
        table.cells.push_back(
            {from.stress_Pa[i], m0, 3.0 * rise - 2.0 * m0 - m1, m0 + m1 - 2.0 * rise});
        table.energy.push_back(from.energy_J_per_m3[i]);
    }
    table.cells.push_back({from.stress_Pa.back(), h * from.slope_Pa.back(), 0.0, 0.0});
    table.energy.push_back(from.energy_J_per_m3.back());
    return table;
}

} // namespace

FibreBlock make_fibre_block(const BeamMesh& mesh,
                            const SectionModuli& moduli,
                            const UniaxialTable& table,
                            std::span<const PronyTerm> prony,
                            DiscRule rule,
                            const std::optional<MullinsDamage>& damage) {
    check_prony(prony);
    if (damage)
        damage->check();
    CELLGRADE_CHECK(prony.size() <= max_prony_terms, "{} Prony terms; at most {} are possible",
                    prony.size(), max_prony_terms);
    FibreBlock block;
    block.table = make_fibre_table(table);
    CELLGRADE_CHECK(std::abs(block.table.youngs - moduli.youngs) <= 1e-6 * moduli.youngs,
                    "Young's modulus {} Pa is not the slope {} Pa of the uniaxial table at "
                    "stretch 1",
                    moduli.youngs, block.table.youngs);
    block.beams = make_beam_block(mesh, moduli);
    block.points = disc_points(rule);
    block.prony.assign(prony.begin(), prony.end());
    block.damage = damage;
    block.mean_shear = moduli.shear_factor * moduli.shear;
    block.mean_twist = 0.5 * moduli.shear;
    block.groups.resize(block.beams.groups.size(), FibreGroup{});
    for (std::size_t e = 0; e < mesh.elements.size(); ++e) {
        FibreGroup& group = block.groups[e / group_lanes];
        group.area[e % group_lanes] =
            block.beams.groups[e / group_lanes].EA[e % group_lanes] / moduli.youngs;
        group.radius[e % group_lanes] = mesh.elements[e].radius;
    }
    block.history.assign(block.groups.size() * block.n_channels() * block.n_values(), Lanes{});
    return block;
}

double fibre_flops(const FibreBlock& block) {
    const auto n_fibres = static_cast<double>(block.points.size());
    const auto terms = 4.0 * static_cast<double>(block.prony.size());
    const double damage = block.damage ? 100.0 : 0.0;
    return 308.0 + 36.0 + n_fibres * (24.0 + terms + damage) + 3.0 * (2.0 + terms + damage);
}

double fibre_bytes(const FibreBlock& block) {
    const auto values = static_cast<double>(block.n_channels() * block.n_values());
    return beam_bytes + 8.0 * (14.0 + 13.0 + 2.0 * values);
}

void element_energies(const FibreBlock& block,
                      std::span<double> stored,
                      std::span<double> dissipated) {
    element_energies(block.beams, stored, dissipated);
    for (Index e = 0; e < block.beams.n_elements; ++e)
        dissipated[e] += block.groups[e / group_lanes].relaxed[e % group_lanes];
}

BeamEnergies beam_energies(const FibreBlock& block) {
    std::vector<double> stored(block.beams.n_elements), dissipated(block.beams.n_elements);
    element_energies(block, stored, dissipated);
    return {.stored = ordered_sum(stored), .dissipated = ordered_sum(dissipated)};
}

void beam_resultants(const FibreBlock& block, std::span<BeamResultants> out) noexcept {
    for (Index e = 0; e < block.beams.n_elements; ++e) {
        const FibreGroup& group = block.groups[e / group_lanes];
        const auto at = [lane = e % group_lanes](const std::array<Lanes, 3>& v) {
            return Vec3(v[0][lane], v[1][lane], v[2][lane]);
        };
        out[e] = {
            .Gamma = at(group.Gamma), .kappa = at(group.kappa), .N = at(group.N), .M = at(group.M)};
    }
}

} // namespace cellgrade
