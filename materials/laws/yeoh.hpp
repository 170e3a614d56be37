// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/laws/point_law.hpp"
#include "materials/laws/volume.hpp"

#include <Eigen/LU>

#include <array>

namespace cellgrade {

/// Yeoh solid (cubic in the first invariant) with densifying volume.
///
///   q = J^(-2/3) tr C - 3      W = C10 q + C20 q^2 + C30 q^3 + U(J)
///   S_iso = 2 (C10 + 2 C20 q + 3 C30 q^2) J^(-2/3) (I - tr(C)/3 C^-1)      S_vol = J U'(J) C^-1
///
/// Source: Yeoh (1993), Rubber Chem. Technol. 66, 754; U from DensifyingVolume.
/// Valid where dW/dq > 0 (C20 < 0 can break it: see stable_range of the uniaxial table). About 110
/// flops a call.
struct Yeoh {
    double C10;           ///< instantaneous, half the initial shear modulus [Pa]
    double C20;           ///< instantaneous [Pa]
    double C30;           ///< instantaneous [Pa]
    double kappa;         ///< bulk modulus [Pa]
    double void_fraction; ///< print porosity [-]

    using History = NoHistory;
    using Response = ElasticResponse;

    static constexpr std::string_view kind = "yeoh";
    static constexpr std::array<Parameter<Yeoh>, 5> parameters() {
        return {{{"instantaneous_c10_MPa", &Yeoh::C10, 1e6, ParameterRange::Positive},
                 {"instantaneous_c20_MPa", &Yeoh::C20, 1e6, ParameterRange::Any},
                 {"instantaneous_c30_MPa", &Yeoh::C30, 1e6, ParameterRange::Any},
                 {"bulk_modulus_MPa", &Yeoh::kappa, 1e6, ParameterRange::Positive},
                 {"void_fraction", &Yeoh::void_fraction, 1.0, ParameterRange::Share}}};
    }
    void check() const { check_parameters(*this); }

    [[nodiscard]] InitialModuli initial_moduli() const {
        return moduli_from_shear_and_bulk(2.0 * C10, kappa);
    }
    [[nodiscard]] double smallest_jacobian() const { return volume().smallest_jacobian(); }

    [[nodiscard]] SplitStress split_stress(const Mat3& C) const noexcept {
        const Mat3 C_inv = C.inverse();
        const double J = std::sqrt(C.determinant());
        const double shrink = std::pow(J, -2.0 / 3.0);
        const double q = shrink * C.trace() - 3.0;
        const double slope = C10 + q * (2.0 * C20 + q * 3.0 * C30);
        return {.isochoric = 2.0 * slope * shrink * (Mat3::Identity() - C.trace() / 3.0 * C_inv),
                .volumetric = J * volume().slope(J) * C_inv};
    }
    [[nodiscard]] double energy(const Mat3& F) const noexcept {
        const double J = F.determinant();
        const double q = std::pow(J, -2.0 / 3.0) * F.squaredNorm() - 3.0;
        return q * (C10 + q * (C20 + q * C30)) + volume().energy(J);
    }
    [[nodiscard]] Response
    advance(const Mat3& F, double /*dt*/, const History& /*old*/) const noexcept {
        return elastic_response(*this, F);
    }

private:
    [[nodiscard]] DensifyingVolume volume() const noexcept { return {kappa, void_fraction}; }
};

} // namespace cellgrade
