// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/thread_count.hpp"

#include <omp.h>

namespace cellgrade {

void use_threads(int n) {
    omp_set_num_threads(n);
}

} // namespace cellgrade
