// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"

#include <string>

namespace cellgrade {

/// What a file for the printer says of the part.
struct PrintLabel {
    std::string title;
    std::string application; ///< name and version of the program that wrote it
    std::string cell;
    double relative_density = 0.0;
    Vec3 cell_size = Vec3::Zero(); ///< edges of one cell [m]
};

/// The caution that goes with every part.
inline constexpr const char* print_caution =
    "A simulation certifies nothing: whether protective equipment protects is decided by physical "
    "tests at an accredited laboratory.";

} // namespace cellgrade
