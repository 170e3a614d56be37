// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/grades/grade_table.hpp"

#include <filesystem>
#include <optional>
#include <string>

namespace cellgrade {

/// Finished cases of a sweep, one whole-or-nothing file each, named by the case's key. A killed
/// sweep finds here what it had done; the table is only ever a merge of these rows.
class CaseCache {
public:
    /// Creates the folder. Errors (input): it cannot be made.
    explicit CaseCache(std::filesystem::path folder);

    void save(const GradeRow& row) const;

    /// The row of a case, bit for bit as it was saved, or nothing. A file that is damaged counts as
    /// nothing; `note` then says so.
    [[nodiscard]] std::optional<GradeRow> load(const GradeCase& grade, std::string& note) const;

    [[nodiscard]] std::filesystem::path file_of(const GradeCase& grade) const;

private:
    std::filesystem::path folder_;
};

} // namespace cellgrade
