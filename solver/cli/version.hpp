// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

namespace cellgrade {

/// Instruction set that the whole tree was built for: "x86-64-v4", "x86-64-v3", "x86-64", "other".
[[nodiscard]] std::string isa_level();

/// One line: "cellgrade 0.1.0 (commit 0123456789ab, GNU 12.2.0, x86-64-v3, HDF5 1.10.8)".
[[nodiscard]] std::string version_line();

} // namespace cellgrade
