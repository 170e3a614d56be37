// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <bit>

namespace cellgrade {

/// Calls visit(lane) for every bit, from the lowest.
template <class Visit>
void for_bits(unsigned bits, Visit&& visit) {
    for (; bits != 0U; bits &= bits - 1U)
        visit(std::countr_zero(bits));
}

} // namespace cellgrade
