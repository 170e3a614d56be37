// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

namespace cellgrade {

/// Bytes as text of letters, digits, + and /, padded with =. Source: RFC 4648, section 4.
[[nodiscard]] std::string base64(std::string_view bytes);

/// Bytes as a gzip member without name or time, so that equal bytes give equal text on one zlib.
/// Source: RFC 1952.
[[nodiscard]] std::string gzipped(std::string_view bytes);

} // namespace cellgrade
