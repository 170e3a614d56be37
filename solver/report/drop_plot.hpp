// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/crush/drop_record.hpp"
#include "solver/report/line_panel.hpp"

#include <string>
#include <vector>

namespace cellgrade {

/// The two panels of drop_plot_svg().
[[nodiscard]] std::vector<LinePanel> drop_panels(const DropRecord& record);

/// Two panels: acceleration over time and force over depth of the striker, filtered and, pale, as
/// recorded. A record that is not trusted is drawn as doubtful.
/// @throws Error (Input) for a record of fewer than two rows
[[nodiscard]] std::string
drop_plot_svg(const std::string& title, const std::string& subtitle, const DropRecord& record);

} // namespace cellgrade
