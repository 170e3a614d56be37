// SPDX-License-Identifier: Apache-2.0
#include "materials/cards/card_doubt.hpp"

#include "materials/print/sampled_print.hpp"
#include "solver/core/error.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <cstddef>
#include <limits>
#include <optional>
#include <string_view>
#include <utility>

namespace cellgrade {

namespace {

constexpr double normal_95 = 1.959964; // two-sided quantile of the normal distribution
constexpr double kJ = 1e3;
constexpr std::array<std::pair<std::string_view, double MullinsDamage::*>, 3> damage_members{
    {{"r", &MullinsDamage::r}, {"m_kJ_per_m3", &MullinsDamage::m}, {"beta", &MullinsDamage::beta}}};

double unit_of(std::string_view damage_key) {
    return damage_key.ends_with("_kJ_per_m3") ? kJ : 1.0;
}

struct Interval {
    double low = 0.0, high = 0.0;
    [[nodiscard]] double standard() const { return (high - low) / (2.0 * normal_95); }
};

std::optional<double> number_at(std::string_view text) {
    double value = 0.0;
    const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), value);
    return fault == std::errc() ? std::optional(value) : std::nullopt;
}

/// "... LOW to HIGH ...": the two numbers around the word at `to`.
std::optional<Interval> interval_around(std::string_view text, std::size_t to) {
    const std::size_t blank = to == 0 ? std::string_view::npos : text.rfind(' ', to - 1);
    const std::size_t from = blank == std::string_view::npos ? 0 : blank + 1;
    const auto low = number_at(text.substr(from, to - from)), high = number_at(text.substr(to + 4));
    return low && high ? std::optional(Interval{*low, *high}) : std::nullopt;
}

/// All intervals behind a mark, up to a semicolon or the end.
std::vector<Interval> intervals_behind(std::string_view text, std::string_view mark) {
    std::vector<Interval> found;
    const std::size_t at = text.find(mark);
    if (at == std::string_view::npos)
        return found;
    text = text.substr(at + mark.size());
    text = text.substr(0, text.find(';'));
    for (std::size_t to = text.find(" to "); to != std::string_view::npos;
         to = text.find(" to ", to + 4))
        if (const auto interval = interval_around(text, to))
            found.push_back(*interval);
    return found;
}

std::string_view source_of(const PolymerCard& card, std::string_view key) {
    const auto line = card.sources.find(key);
    return line == card.sources.end() ? std::string_view() : std::string_view(line->second);
}

void take(CardDoubts& doubts, const std::string& key, const Interval& interval) {
    if (std::isfinite(interval.low) && std::isfinite(interval.high) && interval.high > interval.low)
        doubts.values.push_back({key, interval.standard()});
    else
        doubts.undetermined.push_back(key);
}

void add_law(CardDoubts& doubts, const PolymerCard& card) {
    const auto add = [&]<class Law>(const Law&) {
        for (const auto& p : Law::parameters()) {
            const std::string key(p.key);
            const std::string_view source = source_of(card, key);
            const std::vector<Interval> found = intervals_behind(source, "95 % interval ");
            if (key == "void_fraction")
                continue;
            if (!found.empty())
                take(doubts, key, found.front());
            else if (source.find("not determined") != std::string_view::npos)
                doubts.undetermined.push_back(key);
        }
    };
    std::visit(add, card.law);
}

void add_prony(CardDoubts& doubts, const PolymerCard& card) {
    const std::vector<Interval> found =
        intervals_behind(source_of(card, "prony"), "95 % intervals of the shares ");
    if (found.size() != card.prony.size()) // another card's line, or terms taken out by hand
        return;
    for (std::size_t i = 0; i < found.size(); ++i)
        take(doubts, fmt::format("prony.{}", i + 1), found[i]);
}

void add_damage(CardDoubts& doubts, const PolymerCard& card) {
    std::string_view source = source_of(card, "damage");
    source = source.substr(std::min(source.find("95 % intervals"), source.size()));
    for (const auto& [name, member] : damage_members) {
        const std::string key = fmt::format("damage.{}", name);
        const std::vector<Interval> found = intervals_behind(source, fmt::format(" {} ", name));
        if (source.find(fmt::format(" {} not determined", name)) != std::string_view::npos)
            doubts.undetermined.push_back(key);
        else if (!found.empty())
            take(doubts, key, found.front());
    }
}

/// Whether the law has a parameter of that key, which is then moved.
bool move_law(AnyLaw& any, const CardChange& change) {
    return std::visit(
        [&change]<class Law>(Law& law) {
            for (const auto& p : Law::parameters())
                if (change.key == p.key) {
                    law.*p.member += change.by * p.to_SI;
                    return true;
                }
            return false;
        },
        any);
}

bool move_prony(std::vector<PronyTerm>& terms, const CardChange& change) {
    for (std::size_t i = 0; i < terms.size(); ++i)
        if (change.key == fmt::format("prony.{}", i + 1)) {
            terms[i].share += change.by;
            return true;
        }
    return false;
}

bool move_damage(std::optional<MullinsDamage>& damage, const CardChange& change) {
    for (const auto& [name, member] : damage_members)
        if (damage && change.key == fmt::format("damage.{}", name)) {
            *damage.*member += change.by * unit_of(name);
            return true;
        }
    return false;
}

} // namespace

PolymerCard changed(PolymerCard card, const CardChange& change) {
    if (change.key == "stiffness")
        scale_stress(card, 1.0 + change.by);
    else
        CELLGRADE_CHECK(move_law(card.law, change) || move_prony(card.prony, change) ||
                            move_damage(card.damage, change),
                        "the card '{}' has no value '{}'", card.name, change.key);
    card.check();
    return card;
}

CardDoubts card_doubts(const PolymerCard& card) {
    CardDoubts doubts;
    add_law(doubts, card);
    add_prony(doubts, card);
    if (card.damage)
        add_damage(doubts, card);
    return doubts;
}

} // namespace cellgrade
