// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/colour.hpp"

#include <unistd.h>

#include <cstdlib>
#include <string_view>

namespace cellgrade {

bool stdout_takes_colours() {
    const char* const no_colour = std::getenv("NO_COLOR");
    const char* const term = std::getenv("TERM");
    return isatty(STDOUT_FILENO) == 1 && (no_colour == nullptr || *no_colour == '\0') &&
           (term == nullptr || std::string_view(term) != "dumb");
}

std::string toned(const std::string& text, Tone tone) {
    if (!stdout_takes_colours())
        return text;
    return (tone == Tone::Good ? "\x1b[1;32m" : "\x1b[1;31m") + text + "\x1b[0m";
}

} // namespace cellgrade
