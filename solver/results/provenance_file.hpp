// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/results/hdf5.hpp"
#include "solver/results/provenance.hpp"

#include <string>
#include <vector>

namespace cellgrade {

/// Writes group /provenance: attributes for the build, command line, seeds and resolved
/// configuration; /provenance/inputs/NNNN with name, text and sha256; table /provenance/limits; and
/// /provenance/run only when the struct has one.
void write_provenance(h5::Writer& file, const Provenance& provenance);

/// Reads what `write_provenance` wrote.
[[nodiscard]] Provenance read_provenance(const h5::Reader& file);

/// Guards as a table: name, value, limit, met, enforced.
[[nodiscard]] h5::Table guard_table(const std::vector<GuardResult>& guards);
[[nodiscard]] std::vector<GuardResult> guards_from(const h5::Table& table);

} // namespace cellgrade
