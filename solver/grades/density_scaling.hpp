// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/catalogue/strut_cell.hpp"
#include "solver/grades/grade_table.hpp"

#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace cellgrade {

/// Power laws of a table over relative density, with the theory of open cells beside them.
struct DensityScaling {
    std::vector<ScalingRow> rows;
    std::vector<std::string> notes; ///< what was left out and why, one line each
};

/// Fits quasi-elastic gradient, collapse stress and plateau stress over the polymer's modulus, and
/// 1 - densification strain, of the trusted compressions; one fit a cell, direction, strain rate
/// (or platen speed) and temperature, by fit_power_law.
///
/// Theory of bending cells: E/E_s = 1 rb^2, collapse/E_s = 0.05 rb^2 (taken for the plateau too),
/// densification 1 - 1.4 rb. Source: Gibson & Ashby (1997), Cellular Solids, ch. 5 (constants from
/// memory). Of stretching cells (12 struts or more at every joint, after Maxwell's count):
/// E/E_s grows with the first power. Source: Deshpande, Ashby & Fleck (2001), Acta Mater. 49,
/// 1035; Deshpande, Fleck & Ashby (2001), JMPS 49, 1747 (octet: rb/9). No theory is set beside
/// their collapse and plateau, which may be buckling, rb^2, or yield, rb.
///
/// Two densities give values without intervals. A row without polymer_modulus_Pa or without the
/// trait is left out of the fit, and a note says so; a fit of fewer than two is not made.
/// Quasi-static rows only are compared with theory: an impact's first stress is inertia.
/// @param stretching  whether a cell carries load by stretching; unset: not known, no theory
[[nodiscard]] DensityScaling
density_scaling(const GradeTable& table,
                const std::function<std::optional<bool>(const std::string& cell)>& stretching);

/// Whether a pin-jointed net of these struts is stiff: 12 struts or more at every joint. Necessary
/// for alike joints from Maxwell's count (6 a joint), enough from 12 on; between the two it is not
/// told and counts as bending. Source: Deshpande, Ashby & Fleck (2001), Acta Mater. 49, 1035.
[[nodiscard]] bool carries_by_stretching(const StrutCell& cell);

} // namespace cellgrade
