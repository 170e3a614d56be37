// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/drop_injury.hpp"

#include "solver/choice/injury.hpp"
#include "solver/core/units.hpp"

namespace cellgrade {

DropInjury drop_injury(const DropRecord& record) {
    const DropHistory& h = record.history;
    if (!record.trusted() || h.time_s.size() < 2)
        return {};
    AccelerationPulse pulse{.time_s = h.time_s};
    for (const double a : h.filtered_acceleration_m_per_s2)
        pulse.acceleration_g.push_back(a / units::standard_gravity);
    return {.hic15 = head_injury_criterion(pulse, hic15_window_s).value,
            .hic36 = head_injury_criterion(pulse, hic36_window_s).value,
            .severity_index = severity_index(pulse)};
}

} // namespace cellgrade
