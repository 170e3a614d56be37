// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"
#include "solver/elements/beam_forces.hpp"
#include "solver/elements/node_arrays.hpp"
#include "solver/elements/tet_block.hpp"
#include "solver/elements/tet_tiles.hpp"

#include <span>

namespace cellgrade {

/// Internal forces of ten-node tetrahedra with one pressure an element (mean dilatation), total
/// Lagrangian, four integration points.
///
///   F_q = sum_a x_a (x) grad N_a      C = F^T F      J = det F
///   v = sum_q w_q v(C_q) / V          w_q reference volumes, V their sum
///   v(C) = J, or 1 + tr(U - I)        S_q = S_iso(C_q) + U'(v) 2 dv/dC
///   W = sum_q w_q W_iso(C_q) + V U(v)
///   f_a = -dW/dx_a = -sum_q w_q F_q S_q grad N_a      [N]
///
///   damage         S_iso -> eta S_iso, then
///   Prony terms    S_iso -> g_inf S_iso + sum_i Q_i, at each point as materials/laws/viscous.hpp
///   bulk viscosity U' -> U' + p, see set_bulk_viscosity
///   stored         W with g_inf W_iso + R sum_i |Q_i|^2 / g_i in place of W_iso,
///                  R = W_iso / |S_iso|^2, 1/(4 mu) near rest, |A|^2 = tr(A C A C)
///
/// One pressure against thirty displacements: free of volume locking as nu -> 0.5, and the corner
/// nodes, which are light, take no part in the stiff change of volume. Order 2 in displacement.
/// Uniform pressure on a face loads its middles only: corner loads are no contact pressure.
/// Source: mean dilatation Nagtegaal, Parks & Rice (1974), CMAME 4:153, and Simo, Taylor & Pister
/// (1985), CMAME 51:177; pressures constant on a quadratic tetrahedron: Boffi, Brezzi & Fortin
/// (2013), Mixed Finite Element Methods, ch. 8 (from memory); branch energy ours. Why this element:
/// solver/README.md.
///
/// Element e writes only slots 10e .. 10e + 9, so the result has the same bits for any number of
/// threads. Threads: OpenMP inside. The law is chosen once, outside the loop.
///
/// @param x      one a node, periodic copies in their places (place_copies)
/// @param dt     time since the last call [s], for Prony terms and viscosity; 0: no viscous force
/// @param slots  n_slots() forces on the nodes [N]
/// @return lowest element with det F <= 0 at a point, past a closed void or not finite, else
///         `no_index`; then the step is void. Never throws.
[[nodiscard]] Index tet_forces(TetBlock& block,
                               std::span<const NodePoint> x,
                               double dt,
                               std::span<NodeForce> slots,
                               WithEnergy energy) noexcept;

/// The same, summed at the nodes tile by tile while the forces are in the cache (tet_tiles.hpp).
/// @param force one a node, copies too; zero at nodes of no element [N]
[[nodiscard]] Index tet_node_forces(TetBlock& block,
                                    TetTiles& tiles,
                                    std::span<const NodePoint> x,
                                    double dt,
                                    std::span<NodeForce> force,
                                    WithEnergy energy) noexcept;

/// The same as tet_forces() element by element on plain doubles and one thread: the oracle of the
/// vector version.
[[nodiscard]] Index tet_forces_scalar(TetBlock& block,
                                      std::span<const NodePoint> x,
                                      double dt,
                                      std::span<NodeForce> slots,
                                      WithEnergy energy) noexcept;

/// Flops of one element and call without energies and viscosity, counted by hand in the source:
/// slopes 69, forces 186, volume and mean stress 12; a point: slopes 27, F 45, C 30, J 14, law,
/// mean 2, p 3, S 12, F S 45, forces 55, and 12 + 24 a Prony term; with damage 96 and the energy,
/// counted as the law.
[[nodiscard]] double tet_flops(const TetBlock& block);
/// Least traffic of one element and call of tet_node_forces(): element 360, each position once,
/// the sums of its tiles; history both ways, 384 and as much a Prony term, 64 with damage [B].
[[nodiscard]] double tet_bytes(const TetBlock& block, const TetTiles& tiles);

} // namespace cellgrade
