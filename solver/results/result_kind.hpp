// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>

namespace cellgrade {

/// What a result file of this program holds.
enum class ResultKind { GradeTable, Crush, Drop, Shapes };

/// Told by the file's own schema, never by its name; shapes are a .vtkhdf of `--frames`.
/// @throws Error (Input) for a file that is missing, damaged or none of these, naming what it is
[[nodiscard]] ResultKind result_kind(const std::filesystem::path& path);

} // namespace cellgrade
