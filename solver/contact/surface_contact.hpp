// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/contact/contact_layer.hpp"
#include "solver/contact/contact_report.hpp"
#include "solver/contact/motion_since.hpp"
#include "solver/contact/surface_pair.hpp"
#include "solver/elements/node_arrays.hpp"

#include <cstdint>
#include <span>
#include <vector>

namespace cellgrade {

/// Self-contact of the surface of a tetrahedral mesh, with periodic images, friction and history.
///
/// Each quadratic face is four flat triangles (contact_surface.hpp); every vertex meets every
/// triangle and every edge every edge that it shares no vertex with.
///
///   D    distance of the pair, without sign      layer = min(layer_share L, 0.9 D in the
///                                                reference shape), L mean edge of the triangles
///   d    = layer - D, depth; contact when d > 0, so nothing acts at rest, and thin walls and
///          creases need no exception
///   U    = w penalty(d), cap = layer (penalty.hpp); w = 1, for edges edge_weight()
///   (pair_kernel.hpp) k    film of the polymer or step bound, shared among pairs
///   (contact_layer.hpp) T    = -k_t x, |T| <= friction w F, x the stick spring
///   (friction_spring.hpp), spread to the
///          four vertices so that force and moment balance (pair_kernel.hpp)
///
/// Stored energy is an exact function of the state (nodes, box, springs), once continuously
/// differentiable. A vertex that slides from triangle to triangle starts a new spring there; the
/// energy of the old one is counted as friction loss.
///
/// Surfaces never pass: contact stiffens up to d = layer, D = 0. A pair that has used up 98 % of
/// its layer, a pair whose distance is less than its normal motion in the step, and a node that
/// moves more than layer_move_share of its layer in a step are run Errors.
///
/// deepest_share of the report is d / element edge (2 L): at most layer_share / 2. A limit on it
/// that is meant for true overlap is kept by far, since surfaces never overlap here.
///
/// The pair list is rebuilt when points have moved by half the margin apart from a common stretch
/// (motion_since.hpp), tested at every call before the forces, so no pair is ever missed. A pair
/// that does not touch is left alone until points have moved as far as it was from touching.
/// Same bits for any number of threads. Allocates at construction, list rebuilds, restore, and a
/// few sums a step.
class SurfaceContact {
public:
    /// @param mesh  reference shape; copied as far as needed
    /// @param node_mass  one a node of the mesh [kg], > 0 on the surface; copies are not read
    /// Throws an input Error for bad settings, masses or surface.
    SurfaceContact(const TetMesh& mesh,
                   std::span<const double> node_mass,
                   const ContactSettings& settings);

    /// Adds contact and friction loads at t_n to `load` and advances the stick springs by `dt`.
    ///
    /// Arrays are those of the whole mesh; periodic copies are neither read nor loaded, their loads
    /// go to their originals.
    /// @param pose  at t_n  @param rate  of the step that led to t_n (half step earlier)
    /// @param box   lengths at t_n [m]  @param dt  length of that step [s]; 0 holds the springs
    /// Throws a run Error for a node that is not finite or moves too far, and a layer used up.
    void add_loads(std::span<const NodePose> pose,
                   std::span<const NodeRate> rate,
                   const Vec3& box,
                   double dt,
                   std::span<NodeLoad> load);

    [[nodiscard]] const ContactReport& report() const noexcept { return report_; }

    /// Largest over the nodes of 2 sum(|c| k_tangent)/m, c the share of the node in a pair: row
    /// sums as for StrutContact, to be added to the squared frequency of the solid [1/s^2].
    [[nodiscard]] double stable_omega_squared_bound() const noexcept {
        return report_.omega_squared;
    }

    /// Share of surface vertices whose stiffness is held down by the step bound [-].
    [[nodiscard]] double budget_bound_share() const noexcept { return layer_.budget_bound_share; }

    /// The most that any node may move in one step [m]; for the step control.
    [[nodiscard]] double most_move() const noexcept {
        return settings_.layer_move_share * layer_.thinnest;
    }

    [[nodiscard]] ContactState save() const;
    /// Goes on from a saved state to the same bits. Throws an input Error if it does not fit.
    void restore(const ContactState& state);

    /// The current candidate pairs, sorted; for tests and reports.
    [[nodiscard]] std::span<const PairKey> candidates() const noexcept { return keys_; }
    [[nodiscard]] const ContactSurface& surface() const noexcept { return surface_; }

private:
    struct alignas(32) VertexLoad { // of one pair on one of its vertices
        double fx, fy, fz, tangent;
    };
    struct Part { // what a fixed share of the pairs found
        ContactReport report;
        Index failed = no_index;
        std::vector<VertexLoad> loads; // one a vertex; zero between calls
    };

    void place_vertices(std::span<const NodePose> pose, std::span<const NodeRate> rate, double dt);
    void rebuild(const Vec3& box);
    void make_pairs(const std::vector<PairKey>& keys);
    [[nodiscard]] bool fit_pair(const PairKey& key, SurfacePair& pair) const;
    [[nodiscard]] bool are_neighbours(const SurfacePair& pair) const;
    void load_part(int p, double dt);
    template <SurfacePair::Kind kind>
    void load_awake(Index first, Index end, double dt, int p);
    template <SurfacePair::Kind kind>
    void load_group(const Index* pairs, int n_used, double dt, int p);
    void note_touch(Index k, double depth, double energy, ContactReport& report) const;
    [[nodiscard]] double gather_vertex(Index v, NodeLoad& load);
    void join_parts();
    [[noreturn]] void throw_failed(Index pair) const;

    static constexpr int n_parts = 8; ///< of the pairs; fixed, so sums keep bits
    static constexpr Index awake_chunk = 256, vertex_chunk = 1024;
    static constexpr Index small_job = 500;        ///< pairs or vertices that one thread does alone
    static constexpr double reference_share = 0.9; ///< layer / reference distance, at most
    static constexpr double least_layer = 1e-3;    ///< thinner / own layer: touches at the start
    static constexpr double tip_layer = 0.05; ///< the same of edges and neighbours, see fit_pair()
    static constexpr double thinnest_film = 20.0;  ///< own layer / layer, at most, for stiffness
    static constexpr double most_boxes = 8.0;      ///< between the images of a pair, and more
    static constexpr double used_up = 0.98;        ///< depth / layer that ends the run
    static constexpr double guarding_weight = 0.1; ///< edges below are guarded by their ends

    ContactSettings settings_;
    ContactSurface surface_;
    ContactLayer layer_;
    std::vector<double> thickness_;                  ///< one a vertex [m]
    std::vector<std::array<Index, 2>> vertex_edges_; ///< edges without images, sorted
    double margin_ = 0.0, reach_ = 0.0;
    double most_reach_ = 0.0; ///< of reach_ [m]
    double path_ = 0.0;       ///< more than two points can have come nearer since construction [m]

    BuiltShape built_;
    Vec3 last_box_ = Vec3::Zero(), box_rate_ = Vec3::Zero();
    std::vector<Vec3> x_;               ///< vertices now [m]
    std::vector<NodePoint> points_, v_; ///< the same for the lanes [m], and their velocity [m/s]
    std::vector<PairKey> keys_;
    std::vector<SurfacePair> pairs_;  ///< one a key
    std::vector<double> per_element_; ///< 1 / element edge, one a key [1/m]
    Index n_vertex_pairs_ = 0;        ///< those of edges come after them
    std::vector<NodePoint> springs_;  ///< one a key
    std::vector<double> wakes_;       ///< path_ at which a pair may touch again, one a key [m]
    std::array<Part, n_parts> parts_;
    std::vector<std::array<std::uint8_t, n_parts>>
        loaded_by_; ///< parts with a load, of each vertex
    std::vector<double> vertex_parts_;
    ContactReport report_;
};

} // namespace cellgrade
