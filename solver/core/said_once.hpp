// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

namespace cellgrade {

/// Sentences in the order in which they are first said, each once with all of whom it is said.
class SaidOnce {
public:
    struct Said {
        std::string sentence;
        std::vector<std::string> of;
    };

    /// An empty sentence says nothing.
    void say(const std::string& sentence, const std::string& of);
    [[nodiscard]] const std::vector<Said>& all() const { return all_; }

private:
    std::vector<Said> all_;
};

} // namespace cellgrade
