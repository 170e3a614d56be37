// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/cards/polymer_card.hpp"

#include <string>
#include <vector>

namespace cellgrade {

/// One value of a card moved by a number, or all of its stresses by a share.
struct CardChange {
    /// A parameter of the law by its key ("instantaneous_c10_MPa"), the share of a Prony term
    /// ("prony.1", from 1), "damage.r", "damage.m_kJ_per_m3", "damage.beta", or "stiffness".
    std::string key;
    double by = 0.0; ///< added, in the unit of the key; of "stiffness": a share of it
};

/// The card with that change. Errors (input): a key that the card does not have; a card that
/// the change makes wrong (PolymerCard::check).
[[nodiscard]] PolymerCard changed(PolymerCard card, const CardChange& change);

/// What a card says of the doubt about its own values.
struct CardDoubts {
    std::vector<CardChange> values;        ///< standard uncertainty of each that has an interval
    std::vector<std::string> undetermined; ///< keys that the tests did not determine
};

/// Reads the intervals that a fit has written into the sources of a card, "95 % interval LOW to
/// HIGH" of a parameter, "95 % intervals of the shares LOW to HIGH, ..." of Prony terms, "95 %
/// intervals r LOW to HIGH, ..." of damage:
///
///   u = (HIGH - LOW)/(2 1.96)
///
/// Source: JCGM 100:2008 (GUM), 4.3.4, normal distribution; that of a fit to few readings has wider
/// tails, so u comes out too large by t/1.96 there. Correlations are not in a card, so what is made
/// of these takes none. The porosity is left out: it belongs to the printer.
[[nodiscard]] CardDoubts card_doubts(const PolymerCard& card);

} // namespace cellgrade
