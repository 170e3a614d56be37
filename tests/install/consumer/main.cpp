// SPDX-License-Identifier: Apache-2.0
#include "solver/core/keyed_file.hpp"

#include <cstdio>

int main() {
    const cellgrade::KeyedTable table = cellgrade::parse_keyed_text("speed_m_per_s = 2.5\n", "x");
    std::printf("%.17g\n", table.positive("speed_m_per_s"));
    return 0;
}
