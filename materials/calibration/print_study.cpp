// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/print_study.hpp"

#include "materials/print/print_table.hpp"
#include "solver/core/error.hpp"

namespace cellgrade {

namespace {

std::optional<std::filesystem::path>
file_at(const KeyedTable& t, std::string_view key, const std::filesystem::path& folder) {
    if (!t.has(key))
        return std::nullopt;
    return folder / t.text(key);
}

} // namespace

std::vector<std::string> PrintStudy::value_keys() const {
    std::vector<std::string> keys;
    if (solid_density_kg_per_m3)
        keys.emplace_back("solid_density_kg_per_m3");
    if (factor)
        keys.emplace_back("build_direction_factor");
    if (factor && factor->scatter)
        keys.emplace_back("build_direction_factor_sd");
    return keys;
}

PrintStudy read_print_study(const KeyedTable& root, const std::filesystem::path& folder) {
    PrintStudy s;
    const std::optional<KeyedTable> t = root.optional_table("print");
    if (!t)
        return s;
    s.calliper_file = file_at(*t, "calliper_file", folder);
    s.weighed_file = file_at(*t, "weighed_file", folder);
    s.direction_file = file_at(*t, "direction_file", folder);
    if (t->has("solid_density_kg_per_m3"))
        s.solid_density_kg_per_m3 = t->positive("solid_density_kg_per_m3");
    s.factor = read_scattered(*t, "build_direction_factor", 1.0);
    t->finish(); // first, so that a misspelt key is told as such and not as a missing one
    if (s.weighed_file && !s.solid_density_kg_per_m3)
        throw t->error("solid_density_kg_per_m3", "missing; weighed_file tells no porosity without "
                                                  "the density of the polymer without pores");
    if (!s.weighed_file && s.solid_density_kg_per_m3)
        throw t->error("weighed_file", "missing; nothing is weighed to compare with "
                                       "solid_density_kg_per_m3");
    if (s.direction_file && s.factor)
        throw t->error("build_direction_factor", "not together with direction_file, which gives "
                                                 "it");
    return s;
}

} // namespace cellgrade
