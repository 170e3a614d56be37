// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fmt/format.h>

#include <stdexcept>
#include <string>
#include <utility>

namespace cellgrade {

/// Whose fault it is; decides the exit code of the program.
enum class Fault {
    Input, ///< a file, key, option or the system refused: exit 2
    Run,   ///< the run cannot be trusted (inverted element, energy, penetration): exit 3
};

/// Where an input is wrong; empty parts are left out of the message.
struct Where {
    std::string file;
    int line = 0;
    int column = 0;
    std::string key;
};

/// The one exception of the project: one line that says what is wrong, where, and what would be
/// right.
class Error : public std::runtime_error {
public:
    Error(Fault fault, std::string message, Where where = {});

    [[nodiscard]] Fault fault() const noexcept { return fault_; }
    [[nodiscard]] const Where& where() const noexcept { return where_; }
    /// The message without its place.
    [[nodiscard]] const std::string& message() const noexcept { return message_; }

private:
    Fault fault_;
    std::string message_;
    Where where_;
};

template <class... Args>
[[nodiscard]] Error input_error(fmt::format_string<Args...> text, Args&&... args) {
    return {Fault::Input, fmt::format(text, std::forward<Args>(args)...)};
}

template <class... Args>
[[nodiscard]] Error run_error(fmt::format_string<Args...> text, Args&&... args) {
    return {Fault::Run, fmt::format(text, std::forward<Args>(args)...)};
}

} // namespace cellgrade

/// Always on: throws an input error when `cond` fails.
#define CELLGRADE_CHECK(cond, ...)                                                                 \
    do {                                                                                           \
        if (!(cond))                                                                               \
            throw ::cellgrade::input_error(__VA_ARGS__);                                           \
    } while (false)

namespace cellgrade::detail {
[[noreturn]] void assertion_failed(const char* expression, const char* file, int line);
}

/// Our own bugs; on in debug, sanitizer and audit builds.
#ifdef CELLGRADE_ASSERTS
#define CELLGRADE_ASSERT(cond)                                                                     \
    do {                                                                                           \
        if (!(cond))                                                                               \
            ::cellgrade::detail::assertion_failed(#cond, __FILE__, __LINE__);                      \
    } while (false)
#else
#define CELLGRADE_ASSERT(cond) static_cast<void>(0)
#endif
