// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/coupon.hpp"

#include <array>

namespace cellgrade {

namespace {

struct Named {
    CouponMode mode;
    std::string_view name;
};

constexpr std::array<Named, 7> modes{{{CouponMode::UniaxialTension, "uniaxial_tension"},
                                      {CouponMode::UniaxialCompression, "uniaxial_compression"},
                                      {CouponMode::Equibiaxial, "equibiaxial"},
                                      {CouponMode::Planar, "planar"},
                                      {CouponMode::SimpleShear, "shear"},
                                      {CouponMode::Volumetric, "volumetric"},
                                      {CouponMode::UniaxialCycle, "uniaxial_cycle"}}};

} // namespace

std::string_view mode_name(CouponMode mode) {
    return modes.at(static_cast<std::size_t>(mode)).name;
}

std::vector<std::string> mode_names() {
    std::vector<std::string> names;
    for (const Named& m : modes)
        names.emplace_back(m.name);
    return names;
}

std::optional<CouponMode> mode_of(std::string_view name) {
    for (const Named& m : modes)
        if (m.name == name)
            return m.mode;
    return std::nullopt;
}

double rest_stretch(CouponMode mode) {
    return mode == CouponMode::SimpleShear ? 0.0 : 1.0;
}

} // namespace cellgrade
