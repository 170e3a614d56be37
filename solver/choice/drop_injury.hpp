// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/crush/drop_record.hpp"

#include <limits>

namespace cellgrade {

/// Injury criteria of a drop's filtered acceleration across the pad; NaN: not known.
struct DropInjury {
    double hic15 = std::numeric_limits<double>::quiet_NaN(); ///< [s], by custom without unit
    double hic36 = std::numeric_limits<double>::quiet_NaN();
    double severity_index = std::numeric_limits<double>::quiet_NaN();
};

/// The criteria of injury.hpp; unknown for a drop that is not trusted, or of fewer than two rows.
[[nodiscard]] DropInjury drop_injury(const DropRecord& record);

} // namespace cellgrade
