// SPDX-License-Identifier: Apache-2.0
#include "solver/core/log.hpp"

#include <cstdio>

namespace cellgrade {

Log Log::to_stderr(LogLevel most) {
    return Log([most](LogLevel level, const std::string& text) {
        if (level <= most)
            std::fprintf(stderr, "%s%s\n", level == LogLevel::Warning ? "warning: " : "",
                         text.c_str());
    });
}

} // namespace cellgrade
