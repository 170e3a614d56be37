// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/dynamics/body_dynamics.hpp"

#include <functional>
#include <string>
#include <vector>

namespace cellgrade {

/// Named flat arrays of doubles, in both directions: how a state goes into a checkpoint file and
/// back. `save` is called with a filled array; `load` returns the array of that name.
struct ArraySink {
    std::function<void(const std::string& name, std::vector<double> values)> save;
};
struct ArraySource {
    std::function<std::vector<double>(const std::string& name)> load;
};

/// Writes a state as arrays PREFIX/..., every number bit by bit.
void save_state(const BodyDynamics::State& state, const std::string& prefix, const ArraySink& sink);

/// Reads it back. Errors: as the source throws for a missing array.
[[nodiscard]] BodyDynamics::State load_state(const std::string& prefix, const ArraySource& source);

} // namespace cellgrade
