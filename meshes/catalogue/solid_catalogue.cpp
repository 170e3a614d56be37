// SPDX-License-Identifier: Apache-2.0
#include "meshes/catalogue/solid_catalogue.hpp"

#include "meshes/catalogue/embedded_cells.hpp"
#include "solver/core/error.hpp"
#include "solver/core/suggest.hpp"

namespace cellgrade {

std::vector<std::string> solid_catalogue_names() {
    std::vector<std::string> names;
    for (const EmbeddedCell& cell : embedded_level_sets())
        names.emplace_back(cell.name);
    return names;
}

LevelSetCell find_level_set_cell(const std::string& name_or_path) {
    if (name_or_path.ends_with(".toml"))
        return read_level_set_cell(name_or_path);
    for (const EmbeddedCell& cell : embedded_level_sets())
        if (cell.name == name_or_path)
            return parse_level_set_cell(cell.text, name_or_path);
    throw input_error("level-set cell '{}' is not in the catalogue{}", name_or_path,
                      did_you_mean(name_or_path, solid_catalogue_names()));
}

} // namespace cellgrade
