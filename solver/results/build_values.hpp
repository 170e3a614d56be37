// SPDX-License-Identifier: Apache-2.0
#pragma once

/// What build_values.cmake found out at the last build; defined in the file it writes.
namespace cellgrade::build_values {

extern const char* const version;
extern const char* const commit; ///< "unknown" outside a repository
extern const bool dirty;
extern const char* const compiler;
extern const char* const flags;

} // namespace cellgrade::build_values
