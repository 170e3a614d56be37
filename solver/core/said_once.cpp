// SPDX-License-Identifier: Apache-2.0
#include "solver/core/said_once.hpp"

#include <algorithm>

namespace cellgrade {

void SaidOnce::say(const std::string& sentence, const std::string& of) {
    if (sentence.empty())
        return;
    const auto known = std::find_if(all_.begin(), all_.end(),
                                    [&](const Said& said) { return said.sentence == sentence; });
    if (known == all_.end())
        all_.push_back({sentence, {of}});
    else
        known->of.push_back(of);
}

} // namespace cellgrade
