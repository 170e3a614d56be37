// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/laws/point_law.hpp"
#include "materials/laws/volume.hpp"

#include <Eigen/LU>

#include <array>

namespace cellgrade {

/// Neo-Hookean solid with densifying volume.
///
///   W = mu/2 (J^(-2/3) tr C - 3) + U(J)
///   S_iso = mu J^(-2/3) (I - tr(C)/3 C^-1)      S_vol = J U'(J) C^-1
///
/// Source: Treloar (1975), The Physics of Rubber Elasticity; split form Holzapfel (2000), sec. 6.4;
/// U from DensifyingVolume. Valid for elastomers to about 40 % compression and 50 % extension
/// (common practice, no source); no upturn at large stretch. About 100 flops a call.
struct NeoHookean {
    double mu;            ///< instantaneous shear modulus [Pa]
    double kappa;         ///< bulk modulus [Pa]
    double void_fraction; ///< print porosity [-]

    using History = NoHistory;
    using Response = ElasticResponse;

    static constexpr std::string_view kind = "neo_hookean";
    static constexpr std::array<Parameter<NeoHookean>, 3> parameters() {
        return {
            {{"instantaneous_shear_modulus_MPa", &NeoHookean::mu, 1e6, ParameterRange::Positive},
             {"bulk_modulus_MPa", &NeoHookean::kappa, 1e6, ParameterRange::Positive},
             {"void_fraction", &NeoHookean::void_fraction, 1.0, ParameterRange::Share}}};
    }
    void check() const { check_parameters(*this); }

    [[nodiscard]] InitialModuli initial_moduli() const {
        return moduli_from_shear_and_bulk(mu, kappa);
    }
    [[nodiscard]] double smallest_jacobian() const { return volume().smallest_jacobian(); }

    [[nodiscard]] SplitStress split_stress(const Mat3& C) const noexcept {
        const Mat3 C_inv = C.inverse();
        const double J = std::sqrt(C.determinant());
        const double scale = mu * std::pow(J, -2.0 / 3.0);
        return {.isochoric = scale * (Mat3::Identity() - C.trace() / 3.0 * C_inv),
                .volumetric = J * volume().slope(J) * C_inv};
    }
    [[nodiscard]] double energy(const Mat3& F) const noexcept {
        const double J = F.determinant();
        const double I1 = std::pow(J, -2.0 / 3.0) * F.squaredNorm();
        return 0.5 * mu * (I1 - 3.0) + volume().energy(J);
    }
    [[nodiscard]] Response
    advance(const Mat3& F, double /*dt*/, const History& /*old*/) const noexcept {
        return elastic_response(*this, F);
    }

private:
    [[nodiscard]] DensifyingVolume volume() const noexcept { return {kappa, void_fraction}; }
};

} // namespace cellgrade
