// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/beams/beam_mesh.hpp"
#include "solver/contact/contact_report.hpp"
#include "solver/contact/contact_settings.hpp"
#include "solver/contact/net_exclusion.hpp"
#include "solver/contact/pair_search.hpp"
#include "solver/contact/penalty.hpp"
#include "solver/contact/segment_distance.hpp"
#include "solver/elements/node_arrays.hpp"

#include <cstdint>
#include <span>
#include <vector>

namespace cellgrade {

/// Self-contact of a net of round beams: capsules, with periodic images, friction and history.
///
///   D    regularised distance of two elements (segment_distance.hpp)
///   d    = r_a + r_b - D, depth; contact when d > 0
///   U    = penalty(d) (penalty.hpp), k = min over both elements of ContactSettings bounds
///   f    = F(d) (p - q)/D at p(s), -f at q(t), shared by the end nodes as (1-s, s) and (1-t, t)
///   T    = -k_t x, |T| <= friction F, x the stick spring (friction_spring.hpp), acting where the
///          surfaces meet, so with moments on the nodes; linear and angular momentum balance
///
/// Stored energy is an exact function of the state (nodes, box, springs). Where a contact slides
/// across the node between two elements of a strut both pairs act at once, so the stiffness there
/// is up to twice that of mid-element; U remains smooth. Excluded pairs: net_exclusion.hpp.
///
/// The pair list is rebuilt when the nodes have moved by half the margin since the last build (the
/// box motion counted in), tested at every call before the forces, so no pair is ever missed. A
/// node that moves more than move_share of the smallest radius in one step is an Error: a crossing
/// then takes at least 1 / move_share steps in contact, so none is stepped over.
///
/// Same bits for any number of threads. Allocates at construction, list rebuilds and restore only.
class StrutContact {
public:
    /// @param mesh  reference shape; copied as far as needed
    /// @param node_mass  one a node [kg], > 0
    /// Throws an input Error for bad settings, masses or elements.
    /// Cost: linear in the elements (path walks of pi r around each, one search).
    StrutContact(const BeamMesh& mesh,
                 std::span<const double> node_mass,
                 const ContactSettings& settings);

    /// Adds contact and friction loads at t_n to `load` and advances the stick springs by `dt`.
    ///
    /// @param pose  at t_n  @param rate  of the step that led to t_n (half step earlier)
    /// @param box   lengths at t_n [m]  @param dt  length of that step [s]; 0 holds the springs
    /// Throws a run Error for a node that is not finite or moves too far in one step.
    void add_loads(std::span<const NodePose> pose,
                   std::span<const NodeRate> rate,
                   const Vec3& box,
                   double dt,
                   std::span<NodeLoad> load);

    [[nodiscard]] const ContactReport& report() const noexcept { return report_; }

    /// Largest over the nodes of 2 sum(w k_tangent)/m, w = (1-s) or s [1/s^2]: Gershgorin row sums
    /// of the contact stiffness, an upper bound on its squared frequencies. With a net of squared
    /// frequency w_net^2 a step of 2/sqrt(w_net^2 + bound) is stable. The friction springs are
    /// covered while nodal inertia >= m r^2 tangent_share / (1 - tangent_share).
    [[nodiscard]] double stable_omega_squared_bound() const noexcept {
        return report_.omega_squared;
    }

    /// Overlaps of the reference shape that no joint explains; to be shown to the user.
    [[nodiscard]] std::span<const InitialOverlap> initial_overlaps() const noexcept {
        return exclusion_.initial_overlaps;
    }

    /// Share of elements whose stiffness is held down by the step bound [-].
    [[nodiscard]] double budget_bound_share() const noexcept { return budget_bound_share_; }

    [[nodiscard]] ContactState save() const;
    /// Goes on from a saved state to the same bits. Throws an input Error if it does not fit.
    void restore(const ContactState& state);

    /// The current candidate pairs, sorted; for tests and reports.
    [[nodiscard]] std::span<const PairKey> candidates() const noexcept { return pairs_; }

private:
    struct Element {
        Index a = no_index, b = no_index;
        Vec3i image_b = Vec3i::Zero();
        double radius = 0.0, reference_length = 0.0, stiffness = 0.0;
    };
    struct PairLoad { // on element `first`; `second` takes the opposite force
        Vec3 force = Vec3::Zero(), moment_a = Vec3::Zero(), moment_b = Vec3::Zero();
        double s = 0.0, t = 0.0, tangent = 0.0;
    };
    struct EndLoad {
        Vec3 force = Vec3::Zero(), moment = Vec3::Zero();
        double tangent = 0.0;
    };
    struct Step { // what the friction of a chunk of pairs needs
        std::span<const NodeRate> rate;
        double dt = 0.0;
        ContactReport* part = nullptr;
    };

    void set_up_elements(const BeamMesh& mesh);
    void place_capsules(std::span<const NodePose> pose, const Vec3& box);
    void check_motion(std::span<const NodeRate> rate, double dt) const;
    [[nodiscard]] double moved_since_build(std::span<const NodePose> pose, const Vec3& box) const;
    void rebuild(std::span<const NodePose> pose, const Vec3& box);
    void build_list();
    void list_uses();
    [[nodiscard]] Penalty pair_penalty(const PairKey& key) const;
    [[nodiscard]] double image_share(const PairKey& key, const ClosestPoints& c, int axis) const;
    void load_pairs(Index begin, Index end, const Step& step);
    void load_pair(Index pair, const Step& step);
    void
    add_friction(Index pair, const ClosestPoints& closest, double normal_force, const Step& step);
    [[nodiscard]] Vec3 slide_rate(const PairKey& key,
                                  const ClosestPoints& closest,
                                  const Vec3& arm_a,
                                  const Vec3& arm_b,
                                  std::span<const NodeRate> rate) const;
    void gather_element(Index e);
    [[nodiscard]] double gather_node(Index node, NodeLoad& load) const;
    void join_reports();

    static constexpr Index pair_chunk = 256, node_chunk = 1024; ///< fixed, so sums keep their bits
    static constexpr Index small_net = 500; ///< elements or nodes that one thread does alone

    ContactSettings settings_;
    std::array<bool, 3> periodic_{};
    double margin_ = 0.0, smallest_radius_ = 0.0, largest_radius_ = 0.0, budget_bound_share_ = 0.0;
    std::vector<Element> elements_;
    std::vector<double> node_mass_;
    std::vector<Index> node_begin_, node_ends_; ///< ends (2 e + end) at each node
    NetExclusion exclusion_;

    std::vector<Vec3> built_x_;
    Vec3 built_box_ = Vec3::Zero(), last_box_ = Vec3::Zero(), box_rate_ = Vec3::Zero();
    std::vector<PairKey> pairs_;
    std::vector<Vec3> springs_;                ///< one a pair
    std::vector<Index> use_begin_, use_pairs_; ///< 2 pair + side, of each element
    std::vector<Capsule> capsules_;
    std::vector<PairLoad> pair_loads_;
    std::vector<std::uint8_t> touching_, element_touching_;
    std::vector<EndLoad> end_loads_;
    std::vector<ContactReport> parts_;
    std::vector<double> node_parts_;
    ContactReport report_;
};

} // namespace cellgrade
