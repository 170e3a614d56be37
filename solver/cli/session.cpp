// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/session.hpp"

#include <nlohmann/json.hpp>

#include <sched.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <thread>

namespace cellgrade {

Log Session::log() const {
    return quiet ? Log() : Log::to_stderr(LogLevel::Phase);
}

int Session::n_threads() const {
    if (threads > 0)
        return threads;
    if (const char* wanted = std::getenv("OMP_NUM_THREADS"); wanted != nullptr)
        if (const int n = std::atoi(wanted); n > 0)
            return n;
    cpu_set_t mask;
    if (sched_getaffinity(0, sizeof mask, &mask) == 0)
        return std::max(1, CPU_COUNT(&mask));
    return std::max(1U, std::thread::hardware_concurrency());
}

void require_writable_folder(const std::string& file) {
    if (file.empty())
        return;
    const std::filesystem::path folder = std::filesystem::absolute(file).parent_path();
    if (access(folder.c_str(), W_OK | X_OK) != 0)
        throw Error(
            Fault::Input,
            fmt::format("cannot be written: folder {}: {}", folder.string(), std::strerror(errno)),
            {.file = file, .key = {}});
}

void print(const std::string& text) {
    const bool written =
        std::fwrite(text.data(), 1, text.size(), stdout) == text.size() && std::fflush(stdout) == 0;
    if (!written)
        throw Error(Fault::Input, fmt::format("cannot be written: {}", std::strerror(errno)),
                    {.file = "standard output"});
}

void report_error(const Error& error, bool json, int code) {
    std::fprintf(stderr, "cellgrade: %s\n", error.what());
    if (!json)
        return;
    nlohmann::ordered_json e{{"code", code}, {"message", error.message()}};
    const Where& where = error.where();
    if (!where.file.empty())
        e["file"] = where.file;
    if (where.line > 0) {
        e["line"] = where.line;
        e["column"] = where.column;
    }
    if (!where.key.empty())
        e["key"] = where.key;
    const nlohmann::ordered_json document{{"schema", "cellgrade/error"}, {"error", e}};
    std::printf("%s\n", document.dump(2).c_str());
}

} // namespace cellgrade
