// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/catalogue/strut_net.hpp"
#include "meshes/specimens/specimen.hpp"

#include <vector>

namespace cellgrade {

/// Cells of a right-angled box put side by side, struts cut at the faces that are not periodic and
/// split between layers of different diameters.
/// @param layers diameters of the struts of the cell [m], one list a layer of cells along z
[[nodiscard]] StrutNet tile(const StrutCell& cell,
                            const SpecimenPlan& plan,
                            const std::vector<std::vector<double>>& layers);

} // namespace cellgrade
