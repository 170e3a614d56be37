// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/homogenize/crush_curve.hpp"
#include "solver/results/hdf5.hpp"

#include <span>
#include <string>
#include <vector>

namespace cellgrade {

/// One f8 column a trait, one row a member of `traits`.
[[nodiscard]] std::vector<h5::Column> trait_columns(std::span<const CrushTraits> traits);
[[nodiscard]] std::vector<CrushTraits> traits_from(const h5::Table& table);

/// The one-line meanings of all traits, in column order.
[[nodiscard]] std::vector<std::string> trait_meanings();

/// nominal_strain (a dimension scale), nominal_stress_Pa, of a sheared specimen also shear_strain
/// (the scale of) shear_stress_Pa, and attribute turn in an existing group.
void write_curve_columns(h5::Writer& file, const std::string& group, const CrushCurve& curve);
[[nodiscard]] CrushCurve read_curve_columns(const h5::Reader& file, const std::string& group);

} // namespace cellgrade
