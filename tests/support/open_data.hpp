// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

namespace cellgrade::test {

/// Whether the folder of open measured data is missing; says so.
inline bool no_data() {
    if (data_folder())
        return false;
    MESSAGE("skipped: no data folder");
    return true;
}

} // namespace cellgrade::test
