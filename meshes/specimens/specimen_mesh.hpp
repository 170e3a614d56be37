// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/beams/beam_mesh.hpp"
#include "meshes/tets/tet_mesh.hpp"

#include <variant>
#include <vector>

namespace cellgrade {

/// A specimen as beams or as solid tetrahedra.
using SpecimenMesh = std::variant<BeamMesh, TetMesh>;

[[nodiscard]] inline const BeamMesh* beams(const SpecimenMesh& mesh) {
    return std::get_if<BeamMesh>(&mesh);
}
[[nodiscard]] inline const TetMesh* solid(const SpecimenMesh& mesh) {
    return std::get_if<TetMesh>(&mesh);
}

// What both kinds have.

[[nodiscard]] inline const std::vector<Vec3>& nodes(const SpecimenMesh& mesh) {
    return std::visit([](const auto& m) -> const std::vector<Vec3>& { return m.nodes; }, mesh);
}
[[nodiscard]] inline const Vec3& box(const SpecimenMesh& mesh) {
    return std::visit([](const auto& m) -> const Vec3& { return m.box; }, mesh);
}
[[nodiscard]] inline const std::array<bool, 3>& periodic(const SpecimenMesh& mesh) {
    return std::visit([](const auto& m) -> const std::array<bool, 3>& { return m.periodic; }, mesh);
}
[[nodiscard]] inline const std::vector<Index>& bottom(const SpecimenMesh& mesh) {
    return std::visit([](const auto& m) -> const std::vector<Index>& { return m.bottom; }, mesh);
}
[[nodiscard]] inline const std::vector<Index>& top(const SpecimenMesh& mesh) {
    return std::visit([](const auto& m) -> const std::vector<Index>& { return m.top; }, mesh);
}
[[nodiscard]] inline double solid_volume(const SpecimenMesh& mesh) {
    return std::visit([](const auto& m) { return m.solid_volume; }, mesh);
}
[[nodiscard]] inline std::size_t n_elements(const SpecimenMesh& mesh) {
    return beams(mesh) != nullptr ? beams(mesh)->elements.size() : solid(mesh)->tets.size();
}

} // namespace cellgrade
