// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/error.hpp"

#include <cstddef>
#include <span>
#include <string_view>

namespace cellgrade {

/// One term of a law that is a sum of powers of stretch.
struct PowerTerm {
    double mu;    ///< [Pa]; 0: no such term
    double alpha; ///< exponent [-]
};

/// Throws an input Error for a term of which only one of mu and alpha is given.
inline void check_pairs(std::string_view kind, std::span<const PowerTerm> terms) {
    for (std::size_t i = 0; i < terms.size(); ++i)
        CELLGRADE_CHECK((terms[i].mu == 0.0) == (terms[i].alpha == 0.0),
                        "{} law: instantaneous_mu_{}_MPa and alpha_{} belong together; both are "
                        "needed, or neither",
                        kind, i + 1, i + 1);
}

} // namespace cellgrade
