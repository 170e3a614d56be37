// SPDX-License-Identifier: Apache-2.0
#include "solver/core/error.hpp"

#include <cstdio>
#include <cstdlib>

namespace cellgrade {

namespace {

std::string placed(const std::string& message, const Where& where) {
    std::string text;
    if (!where.file.empty()) {
        text += where.file;
        if (where.line > 0)
            text += fmt::format(":{}:{}", where.line, where.column);
        text += ": ";
    }
    if (!where.key.empty())
        text += where.key + ": ";
    return text + message;
}

} // namespace

Error::Error(Fault fault, std::string message, Where where)
    : std::runtime_error(placed(message, where)), fault_(fault), message_(std::move(message)),
      where_(std::move(where)) {}

void detail::assertion_failed(const char* expression, const char* file, int line) {
    std::fprintf(stderr, "cellgrade: assertion failed: %s (%s:%d)\n", expression, file, line);
    std::abort();
}

} // namespace cellgrade
