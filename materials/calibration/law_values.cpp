// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/law_values.hpp"

namespace cellgrade {

std::vector<LawValue> law_values(const AnyLaw& any) {
    return std::visit(
        []<class Law>(const Law& law) {
            std::vector<LawValue> values;
            for (const auto& p : Law::parameters())
                values.push_back({p.key, p.to_SI, p.range, law.*p.member});
            return values;
        },
        any);
}

void set_law_values(AnyLaw& any, std::span<const double> values) {
    std::visit(
        [&]<class Law>(Law& law) {
            std::size_t i = 0;
            for (const auto& p : Law::parameters())
                law.*p.member = values[i++];
        },
        any);
}

std::optional<AnyLaw> blank_law(std::string_view kind) {
    std::optional<AnyLaw> found;
    Laws::for_each([&]<class Law>() {
        if (kind == Law::kind)
            found = AnyLaw(Law{});
    });
    return found;
}

std::vector<std::string> known_law_kinds() {
    std::vector<std::string> kinds;
    Laws::for_each([&]<class Law>() { kinds.emplace_back(Law::kind); });
    return kinds;
}

std::string_view kind_of(const AnyLaw& any) {
    return std::visit([]<class Law>(const Law&) { return std::string_view(Law::kind); }, any);
}

} // namespace cellgrade
