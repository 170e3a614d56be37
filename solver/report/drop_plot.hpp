// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/crush/drop_record.hpp"

#include <string>

namespace cellgrade {

/// Two panels: acceleration over time and force over depth of the striker, filtered and, pale, as
/// recorded. A record that is not trusted is drawn as doubtful.
/// @throws Error (Input) for a record of fewer than two rows
[[nodiscard]] std::string
drop_plot_svg(const std::string& title, const std::string& subtitle, const DropRecord& record);

} // namespace cellgrade
