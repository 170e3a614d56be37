// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/choice/drop_against_table.hpp"
#include "solver/choice/drop_injury.hpp"
#include "solver/crush/drop_record.hpp"
#include "solver/crush/drop_setup.hpp"

#include <string>
#include <vector>

namespace cellgrade {

/// "striker   sphere of radius 60 mm, 1.5 kg at 4.5 m/s, guided": what falls, a line for people.
[[nodiscard]] std::string striker_line(const DropStriker& striker);

/// Traits and injury criteria for people, in handy units; unknown ones as "-". Those of sliding and
/// turning are left out for a guided striker.
[[nodiscard]] std::string
drop_traits_text(const DropRecord& record, const DropInjury& injury, const DropStriker& striker);

/// The filtered acceleration over time in plain characters; empty without rows.
[[nodiscard]] std::string drop_pulse_text(const DropRecord& record);

/// What a reader of the numbers must know: the bare pad, densification, what is left of the pulse.
[[nodiscard]] std::vector<std::string> drop_notes(const DropRecord& record,
                                                  const DropStriker& striker);

/// The drop's traits beside the table's, how far they are apart, and what that means.
[[nodiscard]] std::string against_text(const DropAgainstTable& compared, const std::string& table);

} // namespace cellgrade
