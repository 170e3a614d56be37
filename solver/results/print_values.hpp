// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/crush/crush_record.hpp"
#include "solver/results/hdf5.hpp"

namespace cellgrade {

/// Group /print of a result file, one attribute a value.
void write_print_values(h5::Writer& file, const PrintRecord& print);

/// What write_print_values() wrote; that of a file without the group says nothing.
[[nodiscard]] PrintRecord read_print_values(const h5::Reader& file);

} // namespace cellgrade
