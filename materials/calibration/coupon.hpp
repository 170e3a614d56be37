// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace cellgrade {

/// How a coupon is loaded, and so what its stretch and stress mean.
enum class CouponMode {
    UniaxialTension,     ///< stretch and nominal stress along the pull, sides free
    UniaxialCompression, ///< the same, stretch below 1 and stress below 0
    Equibiaxial,         ///< two axes stretched alike, nominal stress on one of them, third free
    Planar,              ///< pure shear: one side held, the other free
    SimpleShear,         ///< amount of shear and shear stress, faces held apart
    Volumetric,          ///< volume ratio J and mean Cauchy stress, all sides alike
    UniaxialCycle,       ///< whole time history: loading, unloading, cycles, ramp and hold
};

/// Name of a mode in a study file: "uniaxial_tension", ...
[[nodiscard]] std::string_view mode_name(CouponMode mode);

/// Names of all modes, in the order of the enumeration.
[[nodiscard]] std::vector<std::string> mode_names();

/// The mode of that name; nothing when there is none.
[[nodiscard]] std::optional<CouponMode> mode_of(std::string_view name);

/// Value of `Coupon::stretch` at rest: 0 for simple shear, else 1.
[[nodiscard]] double rest_stretch(CouponMode mode);

/// One loading branch of a coupon test, SI, tension positive, away from rest in one direction; of
/// mode UniaxialCycle the whole path from rest, tension and compression.
struct Coupon {
    std::string name; ///< in messages: the file
    CouponMode mode;
    std::vector<double> stretch;      ///< of the loaded axis; amount of shear; J (see CouponMode)
    std::vector<double> stress_Pa;    ///< nominal; shear; mean Cauchy
    std::vector<double> time_s;       ///< since loading began; empty when the rate is not known
    double weight = 1.0;              ///< of the curve as a whole
    std::optional<double> rate_per_s; ///< of nominal strain
    std::optional<double> temperature_C; ///< [deg C]
    std::vector<std::string> notes;      ///< what was done to the data, one line each
};

/// One relaxation or frequency test at one temperature, SI.
struct TimeCurve {
    enum class Kind { Relaxation, Dynamic };

    std::string name;
    Kind kind = Kind::Relaxation;
    std::vector<double> time_s;     ///< since the ramp began; Dynamic: 1 / angular frequency
    std::vector<double> modulus_Pa; ///< stress / held strain; Dynamic: storage modulus
    std::vector<double> loss_Pa;    ///< Dynamic only: loss modulus
    double ramp_time_s = 0.0;       ///< until the strain was reached, at constant rate; 0: a step
    std::optional<double> temperature_C;
    double weight = 1.0;
    std::vector<std::string> notes;
};

} // namespace cellgrade
