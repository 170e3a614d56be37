// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/catalogue/strut_cell.hpp"

#include <optional>
#include <string>

namespace cellgrade {

/// What is wrong with a cell, and at which of its nodes or struts.
struct NetFault {
    std::string message;
    Index node = no_index;
    Index strut = no_index;
};

/// Whether every joint of the endless structure can be reached from every other.
///
/// A spanning tree gives each node a cell offset; every other strut then closes a loop that adds up
/// to a lattice translation. The endless structure is one piece exactly when these translations
/// generate all of Z^3: rank 3 and determinant 1 of their Hermite normal form.
///
/// Source: quotient graphs of periodic nets, Chung, Hahn and Klee 1984, Acta Cryst A 40:42 (from
/// memory).
[[nodiscard]] std::optional<NetFault> find_loose_parts(const StrutCell& cell);

/// The first pair of struts that touch elsewhere than at a common node: crossing, lying on one
/// another, or running through a joint. Their solids would be fused in print while the net holds
/// them apart.
[[nodiscard]] std::optional<NetFault> find_crossing(const StrutCell& cell);

} // namespace cellgrade
