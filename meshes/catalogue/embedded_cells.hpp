// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string_view>
#include <vector>

namespace cellgrade {

/// One file of the catalogue, as text.
struct EmbeddedCell {
    std::string_view name;
    std::string_view text;
};

/// All files of meshes/catalogue/cells, sorted by name; the body is generated when the build is
/// configured.
[[nodiscard]] const std::vector<EmbeddedCell>& embedded_cells();

/// The same for meshes/catalogue/level_sets.
[[nodiscard]] const std::vector<EmbeddedCell>& embedded_level_sets();

} // namespace cellgrade
