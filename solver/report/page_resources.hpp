// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string_view>

/// What the page is dressed in, carried inside the program; empty texts where a build has none.
namespace cellgrade::page_resources {

[[nodiscard]] std::string_view style();   ///< CSS, in every build
[[nodiscard]] std::string_view drawing(); ///< script: charts, tables, explorer
[[nodiscard]] std::string_view scene();   ///< script: turning shapes
[[nodiscard]] std::string_view notices(); ///< licences of the packages inside the two scripts

} // namespace cellgrade::page_resources
