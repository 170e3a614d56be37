// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/choice/candidate.hpp"

#include <vector>

namespace cellgrade {

/// Whether a is to be preferred to b: the better verdict; what can be printed; then the plan's
/// order, peak acceleration in steps of 5 %, so that a difference below what such numbers are good
/// for does not outweigh mass. Of two that fail alike the one that uses less of its limits.
[[nodiscard]] bool ranks_before(const Candidate& a, const Candidate& b, const ZonePlan& plan);

/// Sorts, best first; marks the front of those that pass (no other is as good in peak, mass,
/// thickness, cost and view and better in one); says of every other why it is not the first.
void rank_candidates(std::vector<Candidate>& candidates, const ZonePlan& plan);

/// Verdict, use and peak of a candidate from its blows.
void sum_up_blows(Candidate& candidate);

} // namespace cellgrade
