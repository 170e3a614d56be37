// SPDX-License-Identifier: Apache-2.0
#include "materials/laws/damage.hpp"

#include "solver/core/error.hpp"

#include <cmath>

namespace cellgrade {

void MullinsDamage::check() const {
    CELLGRADE_CHECK(r > 1.0 && std::isfinite(r),
                    "damage.r = {:.9g} is not allowed; a number above 1 is needed", r);
    CELLGRADE_CHECK(m > 0.0 && std::isfinite(m),
                    "damage.m_kJ_per_m3 = {:.9g} is not allowed; a number above 0 is needed",
                    1e-3 * m);
    CELLGRADE_CHECK(beta >= 0.0 && std::isfinite(beta),
                    "damage.beta = {:.9g} is not allowed; 0 or a number above is needed", beta);
}

} // namespace cellgrade
