// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string_view>
#include <vector>

namespace cellgrade {

/// One file of meshes/catalogue/cells, as text.
struct EmbeddedCell {
    std::string_view name;
    std::string_view text;
};

/// All catalogue files, sorted by name; the body is generated when the build is configured.
[[nodiscard]] const std::vector<EmbeddedCell>& embedded_cells();

} // namespace cellgrade
