// SPDX-License-Identifier: Apache-2.0
#include "meshes/specimens/imperfections.hpp"

#include "solver/core/error.hpp"
#include "solver/core/hashed_numbers.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace cellgrade {

void Imperfections::check() const {
    CELLGRADE_CHECK(node_offset >= 0.0 && node_offset <= 0.2,
                    "node offset {} of the strut length is not allowed; 0 to 0.2 is", node_offset);
    CELLGRADE_CHECK(diameter_scatter >= 0.0 && diameter_scatter <= 0.3,
                    "diameter scatter {} is not allowed; 0 to 0.3 is", diameter_scatter);
}

double keyed_normal(std::uint64_t seed, std::span<const std::int64_t> key) {
    std::uint64_t state = mixed(seed);
    for (const std::int64_t k : key)
        state = mixed(state ^ static_cast<std::uint64_t>(k));
    for (;;) { // one try in 22 falls outside, so this ends
        const double u = unit_number(mixed(state));
        const double v = unit_number(mixed(state ^ golden_step));
        const double x = std::sqrt(-2.0 * std::log(u)) * std::cos(2.0 * std::numbers::pi * v);
        if (std::abs(x) <= 2.0)
            return x;
        state = mixed(state + 1);
    }
}

void add_shape(BeamMesh& mesh, std::span<const Vec3> shape, double amplitude) {
    CELLGRADE_CHECK(shape.size() == mesh.nodes.size(),
                    "the imperfection shape has {} vectors, the specimen {} nodes", shape.size(),
                    mesh.nodes.size());
    CELLGRADE_CHECK(std::isfinite(amplitude), "the imperfection amplitude is not finite");
    std::vector<Vec3> move(shape.begin(), shape.end());
    for (const std::vector<Index>* face : {&mesh.bottom, &mesh.top})
        for (const Index n : *face)
            move[n].z() = 0.0;
    double largest = 0.0;
    for (const Vec3& u : move) {
        CELLGRADE_CHECK(u.allFinite(), "the imperfection shape is not finite");
        largest = std::max(largest, u.norm());
    }
    CELLGRADE_CHECK(largest > 0.0, "the imperfection shape is zero");
    for (std::size_t n = 0; n < move.size(); ++n)
        mesh.nodes[n] += amplitude / largest * move[n];
}

} // namespace cellgrade
