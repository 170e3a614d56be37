// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/report/report_content.hpp"

#include <string>

namespace cellgrade {

/// Whether this build carries the scripts of the page (CELLGRADE_REPORT_PAGE).
[[nodiscard]] bool report_has_scripts();

/// One HTML page that opens from a disk without a network; same content, same bytes on one zlib.
///
/// Cautions, tables and pictures stand in the page as they are; scripts, where the build has them,
/// replace pictures by drawings that answer, and add the explorer and turning shapes. Their data
/// are JSON and shapes, gzip and base64 in <script type="application/octet-stream">.
/// @throws Error (Input) for content without any result
[[nodiscard]] std::string report_page(const ReportContent& content);

} // namespace cellgrade
