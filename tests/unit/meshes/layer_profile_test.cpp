// SPDX-License-Identifier: Apache-2.0
#include "meshes/solids/layer_profile.hpp"

#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace cellgrade;

TEST_CASE("layer profile: meets the layers, stays monotone and has no kink") {
    const LayerProfile p({0.1, 0.2, 0.25, 0.25, 0.6}, false);
    for (int k = 0; k < 5; ++k)
        CHECK(test::rel_err(p.value(k + 0.5), p.at_middles()[k]) < 1e-14);
    CHECK(p.value(0.0) == p.at_middles().front());
    CHECK(p.value(5.0) == p.at_middles().back());
    const double h = 1e-4;
    for (double u = 0.0; u < 5.0; u += 0.01) {
        CHECK(p.value(u + 0.01) >= p.value(u) - 1e-15);
        const double before = (p.value(u) - p.value(u - h)) / h;
        const double after = (p.value(u + h) - p.value(u)) / h;
        CHECK(std::abs(after - before) < 10.0 * h); // curvature is below 6 here
    }
    CHECK(LayerProfile({0.3, 0.3}, false).is_uniform());
}

TEST_CASE("layer profile: a periodic one goes round") {
    const LayerProfile p({0.1, 0.2, 0.3}, true);
    for (const double u : {0.0, 0.2, 0.7, 2.9})
        CHECK(test::rel_err(p.value(u + 3.0), p.value(u)) < 1e-13);
    CHECK(std::abs(p.value(0.0) - 0.2) < 1e-12); // half way from 0.3 to 0.1, both slopes 0
}
