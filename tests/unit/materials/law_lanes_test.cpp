// SPDX-License-Identifier: Apache-2.0
// Laws and roots on packs, against the scalar functions and the C library.
#include "materials/laws/stretch_tensor.hpp"
#include "tests/support/compare.hpp"
#include "tests/unit/materials/law_samples.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>

using namespace cellgrade;
using test::RandomShapes;
using test::rel_err;

namespace {

template <class S>
std::array<S, 6> entries(const lane::Symmetric<S>& A) {
    return {A.xx, A.yy, A.zz, A.yz, A.xz, A.xy};
}

/// One C in each lane.
lane::Symmetric<Pack> packed(const std::array<Mat3, Pack::size()>& C) {
    const auto entry = [&](int i, int j) {
        return Pack([&, i, j](auto lane) { return C[lane](i, j); });
    };
    return {entry(0, 0), entry(1, 1), entry(2, 2), entry(1, 2), entry(0, 2), entry(0, 1)};
}

double gap(const lane::Symmetric<Pack>& got, int lane, const lane::Symmetric<double>& want) {
    double worst = 0.0;
    for (int i = 0; i < 6; ++i)
        worst = std::max(worst,
                         std::abs(static_cast<double>(entries(got)[i][lane]) - entries(want)[i]));
    return worst;
}

} // namespace

// Exact      std::cbrt in long double. Tolerance: one unit in the last place, as stated.
TEST_CASE("inverse cube root: good to the last place over all exponents, NaN at and below zero") {
    double worst = 0.0;
    for (double x = 1e-300; x < 1e300; x *= 1.00973) {
        const double want = static_cast<double>(1.0L / std::cbrt(static_cast<long double>(x)));
        worst = std::max(worst, rel_err(lane::inverse_cbrt(x), want));
        worst = std::max(worst, rel_err(static_cast<double>(lane::inverse_cbrt(Pack(x))[0]), want));
    }
    CHECK(worst < 2.23e-16);
    for (const double x : {0.0, -1.0, -1e-300, std::nan("")}) {
        CHECK(std::isnan(lane::inverse_cbrt(x)));
        CHECK(std::isnan(static_cast<double>(lane::inverse_cbrt(Pack(x))[0])));
    }
}

// Exact      U = R diag R^T is put together and squared. Tolerance: rounding over the spread of the
// stretches.
TEST_CASE("stretch tensor: the root of C and its inverse, near rest and far from it") {
    RandomShapes random(5);
    for (const Vec3& stretch :
         {Vec3(1, 1, 1), Vec3(1 + 1e-9, 1, 1), Vec3(2, 2, 0.3), Vec3(3, 0.5, 0.02),
          Vec3(0.05, 0.05, 0.05), Vec3(3.2, 0.01, 0.01)}) {
        const Mat3 R = random.rotation();
        const Mat3 U = R * stretch.asDiagonal() * R.transpose();
        const Mat3 inverse = R * stretch.cwiseInverse().asDiagonal() * R.transpose();
        const StretchTensor<double> got = stretch_tensor(lane::symmetric_of(U * U), stretch.prod());
        CHECK(rel_err(got.i1, stretch.sum()) < 1e-14);
        CHECK((lane::matrix_of(got.U) - U).norm() < 1e-14 * U.norm());
        // C carries the small stretches to eps of the largest squared
        const double spread = stretch.maxCoeff() / stretch.minCoeff();
        CHECK((lane::matrix_of(got.U_inv) - inverse).norm() <
              1e-15 * (10.0 + spread * spread) * inverse.norm());
    }
}

// Tolerance  rounding, where a compiler fuses multiply and add in one of the two only.
TEST_CASE("every law: packs give what doubles give, energies too") {
    Laws::for_each([]<class Law>() {
        INFO(Law::kind);
        for (const double void_fraction : {0.0, 0.6}) {
            const Law law = test::sample_law<Law>(5.0, void_fraction);
            RandomShapes random(9);
            for (int n = 0; n < 10; ++n) {
                std::array<Mat3, Pack::size()> C;
                for (Mat3& each : C) {
                    const Mat3 F = random.gradient();
                    each = F.transpose() * F;
                }
                const Pack J([&](auto i) { return std::sqrt(C[i].determinant()); });
                const ShapeResponse<Pack> at = law.shape(packed(C), J);
                const Pack p = law.mean_stress(at.volume), W = law.shape_energy(packed(C), J);
                const Pack U = law.volume_energy(at.volume);
                for (int i = 0; i < lanes_of<Pack>; ++i) {
                    const double j = J[i], v = at.volume[i];
                    const lane::Symmetric<double> c = lane::symmetric_of(C[i]);
                    const ShapeResponse<double> one = law.shape(c, j);
                    CHECK(gap(at.isochoric, i, one.isochoric) < 1e-14);
                    CHECK(gap(at.spread, i, one.spread) < 1e-14);
                    CHECK(std::abs(v - one.volume) < 1e-14);
                    CHECK(std::abs(p[i] - law.mean_stress(v)) < 1e-13);
                    CHECK(std::abs(W[i] - law.shape_energy(c, j)) < 1e-14);
                    CHECK(std::abs(U[i] - law.volume_energy(v)) < 1e-14);
                }
            }
        }
    });
}

// Exact      S_vol = mean_stress(volume) 2 dv/dC: spread against differences of the volume measure.
TEST_CASE("every law: spread is twice the derivative of the volume measure by C") {
    Laws::for_each([]<class Law>() {
        const Law law = test::sample_law<Law>(5.0, 0.0);
        RandomShapes random(13);
        const Mat3 F = random.gradient(), C = F.transpose() * F;
        const auto volume = [&](const Mat3& c) {
            return law.shape(lane::symmetric_of(c), std::sqrt(c.determinant())).volume;
        };
        const Mat3 spread =
            lane::matrix_of(law.shape(lane::symmetric_of(C), std::sqrt(C.determinant())).spread);
        for (int i = 0; i < 3; ++i)
            for (int j = 0; j <= i; ++j) {
                Mat3 d = Mat3::Zero();
                d(i, j) = d(j, i) = 1e-6;
                const double slope = (volume(C + d) - volume(C - d)) / 2e-6;
                CHECK(std::abs((i == j ? 2.0 : 1.0) * slope - spread(i, j)) < 1e-8);
            }
    });
}
