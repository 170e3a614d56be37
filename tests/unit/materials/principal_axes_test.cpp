// SPDX-License-Identifier: Apache-2.0
// Exact: tensors put together from chosen principal values and random axes.
#include "materials/laws/principal_axes.hpp"
#include "tests/support/compare.hpp"
#include "tests/unit/materials/law_samples.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>

using namespace cellgrade;
using test::RandomShapes;

namespace {

Mat3 axes_of(const PrincipalAxes<double>& of) {
    const auto& [x, y, z] = of.axis;
    return (Mat3() << x.x, y.x, z.x, x.y, y.y, z.y, x.z, y.z, z.z).finished();
}

Vec3 sorted(Vec3 v) {
    std::sort(v.data(), v.data() + 3);
    return v;
}

} // namespace

// Tolerance  rounding of the tensor itself: units in the last place of the largest value.
TEST_CASE("principal axes: values, axes and the tensor again, equal values too") {
    RandomShapes random(21);
    const Vec3 cases[] = {Vec3(1, 1, 1),           Vec3(1 + 1e-9, 1, 1), Vec3(4, 4, 0.09),
                          Vec3(9, 0.25, 4e-4),     Vec3(1, 2, 2),        Vec3(1, 1 + 1e-15, 1),
                          Vec3(1e-3, 1e-3, 1e-3),  Vec3(1e3, 1, 1e-3),   Vec3(1, 1e-6, 1e-6),
                          Vec3(1.1, 1.0999, 0.05), Vec3(16, 0.25, 0.25), Vec3(1, 0.5, 0.5 + 1e-7)};
    for (const Vec3& value : cases)
        for (int n = 0; n < 2000; ++n) {
            const Mat3 R = random.rotation();
            const Mat3 A = R * value.asDiagonal() * R.transpose();
            const PrincipalAxes<double> got = principal_axes(lane::symmetric_of(A));
            const Mat3 V = axes_of(got);
            const Vec3 w(got.value.x, got.value.y, got.value.z);
            const double scale = value.maxCoeff();
            CHECK((V.transpose() * V - Mat3::Identity()).norm() < 1e-14);
            CHECK((sorted(w) - sorted(value)).norm() < 5e-15 * scale);
            CHECK((A * V - V * w.asDiagonal()).norm() < 5e-15 * scale);
            const Mat3 again =
                lane::matrix_of(from_principal(got, got.value.x, got.value.y, got.value.z));
            CHECK((again - A).norm() < 1e-14 * scale);
        }
}

TEST_CASE("principal axes: a diagonal tensor is left as it is") {
    const PrincipalAxes<double> got =
        principal_axes(lane::Symmetric<double>(2.0, 0.5, 2.0, 0.0, 0.0, 0.0));
    CHECK(axes_of(got) == Mat3::Identity());
    CHECK(got.value.x == 2.0);
    CHECK(got.value.y == 0.5);
    CHECK(got.value.z == 2.0);
}

TEST_CASE("principal axes: packs give what doubles give, lane by lane") {
    RandomShapes random(22);
    for (int n = 0; n < 200; ++n) {
        std::array<Mat3, Pack::size()> A;
        for (Mat3& each : A) {
            const Mat3 F = random.gradient();
            each = F.transpose() * F;
        }
        const auto entry = [&](int i, int j) {
            return Pack([&, i, j](auto lane) { return A[lane](i, j); });
        };
        const lane::Symmetric<Pack> C(entry(0, 0), entry(1, 1), entry(2, 2), entry(1, 2),
                                      entry(0, 2), entry(0, 1));
        const PrincipalAxes<Pack> got = principal_axes(C);
        for (int i = 0; i < lanes_of<Pack>; ++i) {
            const PrincipalAxes<double> one = principal_axes(lane::symmetric_of(A[i]));
            CHECK(std::abs(got.value.x[i] - one.value.x) < 1e-14);
            CHECK(std::abs(got.value.y[i] - one.value.y) < 1e-14);
            CHECK(std::abs(got.value.z[i] - one.value.z) < 1e-14);
        }
    }
}
