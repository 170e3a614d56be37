// SPDX-License-Identifier: Apache-2.0
#include "meshes/catalogue/catalogue.hpp"

#include "meshes/catalogue/embedded_cells.hpp"
#include "solver/core/error.hpp"
#include "solver/core/suggest.hpp"

#include <cmath>

namespace cellgrade {

std::vector<std::string> catalogue_names() {
    std::vector<std::string> names;
    for (const EmbeddedCell& cell : embedded_cells())
        names.emplace_back(cell.name);
    return names;
}

StrutCell find_cell(const std::string& name_or_path) {
    if (name_or_path.ends_with(".toml"))
        return read_strut_cell(name_or_path);
    for (const EmbeddedCell& cell : embedded_cells())
        if (cell.name == name_or_path)
            return parse_strut_cell(cell.text, name_or_path);
    throw input_error("cell '{}' is not in the catalogue{}", name_or_path,
                      did_you_mean(name_or_path, catalogue_names()));
}

StrutCell scaled(const StrutCell& cell, double factor) {
    CELLGRADE_CHECK(std::isfinite(factor) && factor > 0.0,
                    "cell size factor {} is not allowed; a number above 0 is needed", factor);
    StrutCell larger = cell;
    larger.lattice *= factor;
    for (double& d : larger.diameters)
        d *= factor;
    return larger;
}

} // namespace cellgrade
