// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/crush/crush_record.hpp"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace cellgrade {

/// What the program was built from, fixed at build time.
struct BuildInfo {
    std::string program;                ///< "cellgrade"
    std::string version;                ///< "0.1.0"
    std::string commit;                 ///< git commit, or "unknown" outside a repository
    bool dirty = false;                 ///< the tree had changes that are not in the commit
    std::string compiler;               ///< name and version
    std::string flags;                  ///< of the optimiser and the instruction set
    std::vector<std::string> libraries; ///< "HDF5 1.10.8", ...
};

/// One input of a result, kept whole so that the result can be made again.
struct InputText {
    std::string name; ///< as given, without the folders of this machine
    std::string text;
    std::string sha256; ///< of `text`, 64 hex digits
};

/// Host and clock of a run; in files under /provenance/run only, so that two runs of one input
/// differ nowhere else.
struct RunInfo {
    std::string start_utc; ///< ISO 8601
    double wall_time_s = 0.0;
    Index threads = 1;
};

/// Where a result comes from.
struct Provenance {
    BuildInfo build;
    std::vector<std::string> command_line;
    std::vector<InputText> inputs;
    std::string resolved_config;     ///< itself a valid configuration
    std::vector<std::string> seeds;  ///< "imperfection = 7", ...
    std::vector<GuardResult> limits; ///< and whether they were met
    std::optional<RunInfo> run;      ///< absent in grade tables
};

/// The program in which this is called.
[[nodiscard]] BuildInfo build_info();

/// An input with its hash; `path` loses its folders.
[[nodiscard]] InputText input_text(const std::filesystem::path& path, const std::string& text);

/// The present moment as "2031-05-07T12:00:00Z".
[[nodiscard]] std::string utc_now();

/// The caution that goes into every result file and picture.
[[nodiscard]] const std::string& caution_text();

} // namespace cellgrade
