// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/laws/registry.hpp"

#include <Eigen/Geometry>

#include <algorithm>
#include <random>

namespace cellgrade::test {

/// A law of the registry with initial shear modulus 1 Pa, for the batteries; one line a law.
template <class Law>
Law sample_law(double kappa, double void_fraction);

template <>
inline NeoHookean sample_law(double kappa, double void_fraction) {
    return {.mu = 1.0, .kappa = kappa, .void_fraction = void_fraction};
}
template <>
inline Yeoh sample_law(double kappa, double void_fraction) { // references D3
    return {.C10 = 0.5, .C20 = -0.05, .C30 = 0.005, .kappa = kappa, .void_fraction = void_fraction};
}
template <>
inline LinearElastic sample_law(double kappa, double void_fraction) {
    const InitialModuli m = moduli_from_shear_and_bulk(1.0, kappa);
    return {.E = m.E0, .nu = m.nu0, .void_fraction = void_fraction};
}
template <>
inline MooneyRivlin sample_law(double kappa, double void_fraction) { // references D2
    return {.C10 = 0.4, .C01 = 0.1, .kappa = kappa, .void_fraction = void_fraction};
}
template <>
inline ArrudaBoyce sample_law(double kappa, double void_fraction) { // references D4, N = 9
    constexpr double initial = 1.0 + 0.6 / 9.0 + 99.0 / 175.0 / 81.0 + 513.0 / 875.0 / 729.0 +
                               42039.0 / 67375.0 / 6561.0; // shear modulus / mu
    return {.mu = 1.0 / initial,
            .locking_stretch = 3.0,
            .kappa = kappa,
            .void_fraction = void_fraction};
}
template <>
inline Ogden sample_law(double kappa, double void_fraction) { // references D5, over its modulus
    return {.mu_1 = 0.63 / 0.4225,
            .alpha_1 = 1.3,
            .mu_2 = 0.0012 / 0.4225,
            .alpha_2 = 5.0,
            .mu_3 = -0.01 / 0.4225,
            .alpha_3 = -2.0,
            .mu_4 = 0.0,
            .alpha_4 = 0.0,
            .kappa = kappa,
            .void_fraction = void_fraction};
}
/// The second term takes what bulk modulus the first leaves; its exponent is small, so that the
/// powers of J stay moderate where it is nearly incompressible.
template <>
inline HillFoam sample_law(double kappa, double void_fraction) {
    const double beta_1 = 0.1 / 0.8;
    const double beta_2 = (kappa - 1.2 * (1.0 / 3.0 + beta_1)) / 0.8 - 1.0 / 3.0;
    return {.mu_1 = 0.6,
            .alpha_1 = 2.0,
            .nu_1 = 0.1,
            .mu_2 = 0.4,
            .alpha_2 = -0.25,
            .nu_2 = beta_2 / (1.0 + 2.0 * beta_2),
            .mu_3 = 0.0,
            .alpha_3 = 0.0,
            .nu_3 = 0.0,
            .void_fraction = void_fraction};
}

/// A plateau from 0.15 to 0.3, so that shapes of the batteries lie on all parts of the table.
template <>
inline TabulatedFoam sample_law(double kappa, double void_fraction) {
    TabulatedFoam law{};
    law.spacing = 0.05;
    int knot = 0;
    for (const double stress : {0.1, 0.18, 0.24, 0.26, 0.27, 0.28, 0.31, 0.4, 0.6})
        law.set_stress(knot++, stress);
    law.side = kappa - 2.0 / 3.0;
    law.closing = kappa * std::max(void_fraction, 0.01);
    law.closing_exponent = 5.0;
    law.void_fraction = void_fraction;
    return law;
}

/// Deformation gradients of up to about 30 % strain, det F in 0.7 to 1.4; seeded.
class RandomShapes {
public:
    explicit RandomShapes(unsigned seed) : random_(seed) {}

    Mat3 gradient() {
        for (;;) {
            const Mat3 F = Mat3::Identity() + 0.2 * matrix();
            if (F.determinant() > 0.7 && F.determinant() < 1.4)
                return F;
        }
    }
    Mat3 rotation() {
        const Vec3 axis = Vec3(number(), number(), number()).normalized();
        return Eigen::AngleAxisd(3.0 * number(), axis).toRotationMatrix();
    }
    Mat3 matrix() {
        Mat3 m;
        for (int i = 0; i < 9; ++i)
            m(i / 3, i % 3) = number();
        return m;
    }
    double number() { return 2.0 * (static_cast<double>(random_()) / 4294967296.0) - 1.0; }

private:
    std::mt19937 random_; ///< its output is fixed by the standard
};

} // namespace cellgrade::test
