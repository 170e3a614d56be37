// SPDX-License-Identifier: Apache-2.0
#include "meshes/catalogue/any_cell.hpp"

#include "meshes/catalogue/catalogue.hpp"
#include "meshes/catalogue/solid_catalogue.hpp"
#include "solver/core/error.hpp"
#include "solver/core/keyed_file.hpp"
#include "solver/core/suggest.hpp"

#include <algorithm>
#include <vector>

namespace cellgrade {

AnyCell find_any_cell(const std::string& name) {
    std::vector<std::string> known = catalogue_names();
    if (std::binary_search(known.begin(), known.end(), name))
        return find_cell(name);
    const std::vector<std::string> solids = solid_catalogue_names();
    if (std::binary_search(solids.begin(), solids.end(), name))
        return find_level_set_cell(name);
    known.insert(known.end(), solids.begin(), solids.end());
    throw input_error("cell '{}' is not in the catalogue{}", name, did_you_mean(name, known));
}

AnyCell read_any_cell(const std::filesystem::path& path) {
    const KeyedTable file = read_keyed_file(path);
    if (file.has("kind"))
        return read_level_set_cell(path);
    return read_strut_cell(path);
}

const std::string& name_of(const AnyCell& cell) {
    return std::visit([](const auto& c) -> const std::string& { return c.name; }, cell);
}

Vec3 edges_of(const AnyCell& cell) {
    if (const auto* level_set = std::get_if<LevelSetCell>(&cell))
        return level_set->size;
    return std::get<StrutCell>(cell).lattice.colwise().norm();
}

AnyCell scaled(const AnyCell& cell, double factor) {
    return std::visit([&](const auto& c) -> AnyCell { return scaled(c, factor); }, cell);
}

} // namespace cellgrade
