// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fmt/format.h>

#include <functional>
#include <string>
#include <utility>

namespace cellgrade {

enum class LogLevel { Warning, Phase, Decision, Number };

/// Where log lines go; handed in by the caller, never a global. An empty sink drops everything.
class Log {
public:
    using Sink = std::function<void(LogLevel, const std::string&)>;

    Log() = default;
    explicit Log(Sink sink) : sink_(std::move(sink)) {}

    template <class... Args>
    void write(LogLevel level, fmt::format_string<Args...> text, Args&&... args) const {
        if (sink_)
            sink_(level, fmt::format(text, std::forward<Args>(args)...));
    }
    /// A sink that writes to stderr everything up to `most`.
    [[nodiscard]] static Log to_stderr(LogLevel most);

private:
    Sink sink_;
};

} // namespace cellgrade
