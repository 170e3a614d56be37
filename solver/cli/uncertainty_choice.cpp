// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/uncertainty_choice.hpp"

#include "solver/cli/key_range.hpp"
#include "solver/core/error.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string_view>

namespace cellgrade {

namespace {

constexpr double least_ratio = 1.3; // of element sizes: Celik et al. 2008 (from memory)

/// What an effort means where no key says otherwise.
UncertaintyChoice choice_of(const std::string& effort) {
    UncertaintyChoice c;
    c.given = true;
    c.effort = effort;
    c.mesh_refinements = {1.5};
    c.specimen_factors = {2.0};
    c.seeds = 3;
    if (effort == "screening")
        return c;
    c.parts = {DoubtPart::Mesh, DoubtPart::Rate, DoubtPart::Friction, DoubtPart::Polymer,
               DoubtPart::Print};
    c.cases = DoubtCases::Middle;
    if (effort == "working")
        return c;
    c.parts.insert(c.parts.begin() + 1, DoubtPart::Specimen);
    c.cases = DoubtCases::Each;
    c.mesh_refinements = {1.5, 2.25};
    c.seeds = 5;
    return c;
}

std::vector<DoubtPart> read_parts(const KeyedTable& t) {
    const std::vector<std::string> words = t.texts("parts");
    std::vector<DoubtPart> parts;
    for (std::size_t i = 0; i < words.size(); ++i) {
        const auto* const name =
            std::find(doubt_part_names.begin(), doubt_part_names.end(), words[i]);
        const auto refuse = [&](const std::string& what) {
            return Error(Fault::Input, what, t.where("parts", i));
        };
        if (name == doubt_part_names.end())
            throw refuse(fmt::format("'{}' is not a part of uncertainty; one of {} is needed",
                                     words[i], fmt::join(doubt_part_names, ", ")));
        const auto part = static_cast<DoubtPart>(name - doubt_part_names.begin());
        if (std::find(parts.begin(), parts.end(), part) != parts.end())
            throw refuse(fmt::format("'{}' is given twice", words[i]));
        parts.push_back(part);
    }
    std::sort(parts.begin(), parts.end());
    return parts;
}

std::vector<double>
read_factors(const KeyedTable& t, std::string_view key, std::size_t most, double low, double high) {
    const std::vector<double> values = t.numbers(key);
    if (values.empty() || values.size() > most)
        throw t.error(key, fmt::format("{} numbers; 1 to {} are needed", values.size(), most));
    for (std::size_t i = 0; i < values.size(); ++i)
        if (!(values[i] >= low && values[i] <= high) || values[i] == 1.0)
            throw Error(Fault::Input,
                        fmt::format("{} is not allowed; a number from {} to {} is needed, and not "
                                    "1, which the case itself has",
                                    values[i], low, high),
                        t.where(key, i));
    return values;
}

void check_ratios(const KeyedTable& t, const std::vector<double>& refinements) {
    std::vector<double> sizes = refinements;
    sizes.push_back(1.0);
    std::sort(sizes.begin(), sizes.end());
    for (std::size_t i = 1; i < sizes.size(); ++i)
        if (sizes[i] < least_ratio * sizes[i - 1] * (1.0 - 1e-12))
            throw t.error("mesh_refinements",
                          fmt::format("{} and {} are too near each other (1 is the case itself); a "
                                      "ratio of at least {} is needed",
                                      sizes[i - 1], sizes[i], least_ratio));
}

void check_tiles(const KeyedTable& t,
                 const std::vector<double>& factors,
                 const std::array<Index, 3>& tiles) {
    for (std::size_t i = 0; i < factors.size(); ++i) {
        for (const Index n : tiles) {
            const double cells = factors[i] * n;
            if (cells < 1.0 || cells > 200.0 || std::abs(cells - std::round(cells)) > 1e-9)
                throw Error(
                    Fault::Input,
                    fmt::format("{} times {} cells is no whole number of cells from 1 to 200",
                                factors[i], n),
                    t.where("specimen_factors", i));
        }
        if (std::count(factors.begin(), factors.end(), factors[i]) > 1)
            throw Error(Fault::Input, fmt::format("{} is given twice", factors[i]),
                        t.where("specimen_factors", i));
    }
}

void read_friction(const KeyedTable& t, UncertaintyChoice& c) {
    c.friction_low = within(t, "friction_low", c.friction_low, 0.0, 2.0);
    c.friction_high = within(t, "friction_high", c.friction_high, 0.0, 2.0);
    if (c.friction_low >= c.friction_high)
        throw t.error(t.has("friction_high") ? "friction_high" : "friction_low",
                      fmt::format("friction_low {} is not below friction_high {}", c.friction_low,
                                  c.friction_high));
}

/// TOML wants a point in a float; "{}" is the shortest text that reads back equal.
std::string number_text(double value) {
    const std::string digits = fmt::format("{}", value);
    return digits.find_first_of(".e") == std::string::npos ? digits + ".0" : digits;
}

std::string list_text(const std::vector<double>& values) {
    std::string list;
    for (const double v : values)
        list += (list.empty() ? "" : ", ") + number_text(v);
    return "[" + list + "]";
}

} // namespace

bool UncertaintyChoice::has(DoubtPart part) const {
    return std::find(parts.begin(), parts.end(), part) != parts.end();
}

UncertaintyChoice read_uncertainty(const KeyedTable& t, const std::array<Index, 3>& tiles) {
    UncertaintyChoice c =
        choice_of(t.choice_or("effort", {"screening", "working", "full"}, "screening"));
    if (t.has("parts"))
        c.parts = read_parts(t);
    const std::string each = c.cases == DoubtCases::Each ? "each" : "middle";
    c.cases = t.choice_or("cases", {"each", "middle"}, each) == "each" ? DoubtCases::Each
                                                                       : DoubtCases::Middle;
    if (t.has("mesh_refinements")) {
        c.mesh_refinements = read_factors(t, "mesh_refinements", 2, 0.1, 10.0);
        check_ratios(t, c.mesh_refinements);
    }
    if (t.has("specimen_factors")) {
        c.specimen_factors = read_factors(t, "specimen_factors", 3, 0.1, 10.0);
        check_tiles(t, c.specimen_factors, tiles);
    }
    read_friction(t, c);
    if (t.has("polymer_stiffness_share"))
        c.polymer_stiffness_share = within(t, "polymer_stiffness_share", 0.05, 1e-4, 0.5);
    c.seeds = t.integer_or("seeds", c.seeds);
    if (c.seeds < 2 || c.seeds > 200)
        throw t.error("seeds", fmt::format("{} is out of range; 2 to 200 are allowed", c.seeds));
    c.node_offset_share = within(t, "node_offset_share", 0.0, 0.0, 0.2);
    c.diameter_scatter_share = within(t, "diameter_scatter_share", 0.0, 0.0, 0.3);
    t.finish();
    return c;
}

std::string uncertainty_text(const UncertaintyChoice& c) {
    if (!c.given)
        return "";
    std::string parts;
    for (const DoubtPart part : c.parts)
        parts += fmt::format("{}\"{}\"", parts.empty() ? "" : ", ",
                             doubt_part_names[static_cast<std::size_t>(part)]);
    std::string text =
        fmt::format("\n[uncertainty]\neffort = \"{}\"\nparts = [{}]\ncases = \"{}\"\n", c.effort,
                    parts, c.cases == DoubtCases::Each ? "each" : "middle");
    text += fmt::format("mesh_refinements = {}\nspecimen_factors = {}\n",
                        list_text(c.mesh_refinements), list_text(c.specimen_factors));
    text += fmt::format("friction_low = {}\nfriction_high = {}\n", number_text(c.friction_low),
                        number_text(c.friction_high));
    if (c.polymer_stiffness_share)
        text +=
            fmt::format("polymer_stiffness_share = {}\n", number_text(*c.polymer_stiffness_share));
    text +=
        fmt::format("seeds = {}\nnode_offset_share = {}\ndiameter_scatter_share = {}\n", c.seeds,
                    number_text(c.node_offset_share), number_text(c.diameter_scatter_share));
    return text;
}

} // namespace cellgrade
