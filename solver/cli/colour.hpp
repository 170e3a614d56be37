// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

namespace cellgrade {

enum class Tone { Good, Bad };

/// Whether stdout takes colours: a terminal, TERM not "dumb", NO_COLOR unset or empty.
[[nodiscard]] bool stdout_takes_colours();

/// The text in bold green or red for a terminal, else as it is. Words must say the same without.
[[nodiscard]] std::string toned(const std::string& text, Tone tone);

} // namespace cellgrade
