// SPDX-License-Identifier: Apache-2.0
#include "solver/results/provenance.hpp"

#include "solver/core/sha256.hpp"
#include "solver/results/build_values.hpp"
#include "solver/results/hdf5.hpp"

#include <Eigen/Core>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <chrono>
#include <ctime>

namespace cellgrade {

BuildInfo build_info() {
    return {
        .program = "cellgrade",
        .version = build_values::version,
        .commit = build_values::commit,
        .dirty = build_values::dirty,
        .compiler = build_values::compiler,
        .flags = build_values::flags,
        .libraries = {fmt::format("HDF5 {}", h5::library_version()),
                      fmt::format("Eigen {}.{}.{}", EIGEN_WORLD_VERSION, EIGEN_MAJOR_VERSION,
                                  EIGEN_MINOR_VERSION),
                      fmt::format("fmt {}.{}.{}", FMT_VERSION / 10000, FMT_VERSION / 100 % 100,
                                  FMT_VERSION % 100),
                      fmt::format("nlohmann-json {}.{}.{}", NLOHMANN_JSON_VERSION_MAJOR,
                                  NLOHMANN_JSON_VERSION_MINOR, NLOHMANN_JSON_VERSION_PATCH)},
    };
}

InputText input_text(const std::filesystem::path& path, const std::string& text) {
    return {.name = path.filename().string(), .text = text, .sha256 = sha256_hex(text)};
}

std::string utc_now() {
    const std::time_t now = std::chrono::system_clock::to_time_t(std::chrono::system_clock::now());
    std::tm parts{};
    ::gmtime_r(&now, &parts);
    return fmt::format("{:04d}-{:02d}-{:02d}T{:02d}:{:02d}:{:02d}Z", parts.tm_year + 1900,
                       parts.tm_mon + 1, parts.tm_mday, parts.tm_hour, parts.tm_min, parts.tm_sec);
}

const std::string& caution_text() {
    static const std::string text =
        "This is a simulation. It certifies nothing: whether protective equipment protects is "
        "decided by physical tests at an accredited laboratory to the standard in force, by local "
        "rules and by licensed practice.";
    return text;
}

} // namespace cellgrade
