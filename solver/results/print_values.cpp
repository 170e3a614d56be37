// SPDX-License-Identifier: Apache-2.0
#include "solver/results/print_values.hpp"

#include <array>
#include <utility>

namespace cellgrade {

namespace {

constexpr std::array<std::pair<const char*, double PrintRecord::*>, 5> print_values{
    {{"drawn_relative_density", &PrintRecord::drawn_relative_density},
     {"printed_relative_density", &PrintRecord::printed_relative_density},
     {"diameter_offset_m", &PrintRecord::diameter_offset_m},
     {"build_direction_factor", &PrintRecord::build_direction_factor},
     {"void_fraction", &PrintRecord::void_fraction}}};

} // namespace

void write_print_values(h5::Writer& file, const PrintRecord& print) {
    file.group("/print");
    for (const auto& [name, member] : print_values)
        file.number("/print", name, print.*member);
}

PrintRecord read_print_values(const h5::Reader& file) {
    PrintRecord print;
    if (file.has("/print"))
        for (const auto& [name, member] : print_values)
            print.*member = file.number("/print", name);
    return print;
}

} // namespace cellgrade
