// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/version.hpp"

#include "solver/results/provenance.hpp"

#include <fmt/format.h>

namespace cellgrade {

std::string isa_level() {
#if defined(__AVX512F__) && defined(__AVX512BW__) && defined(__AVX512VL__)
    return "x86-64-v4";
#elif defined(__AVX2__) && defined(__FMA__)
    return "x86-64-v3";
#elif defined(__x86_64__)
    return "x86-64";
#else
    return "other";
#endif
}

std::string version_line() {
    const BuildInfo b = build_info();
    return fmt::format("cellgrade {} (commit {}{}, {}, {}, {})", b.version, b.commit.substr(0, 12),
                       b.dirty ? "-dirty" : "", b.compiler, isa_level(), b.libraries.front());
}

} // namespace cellgrade
