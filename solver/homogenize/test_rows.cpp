// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/test_rows.hpp"

#include "solver/core/error.hpp"
#include "solver/homogenize/loading_branch.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

void check_rate(const GradeTest& test) {
    CELLGRADE_CHECK(test.strain_rate_per_s > 0.0 && std::isfinite(test.strain_rate_per_s),
                    "{}: strain rate {} 1/s is not above 0", test.name, test.strain_rate_per_s);
}

} // namespace

void check_pressed(const GradeTest& test) {
    check_rate(test);
    CELLGRADE_CHECK(test.to_strain > 0.0 && test.to_strain < 1.0,
                    "{}: the law would be compared to a strain of {}", test.name, test.to_strain);
}

TestRows loading_rows(const GradeTest& test, std::size_t rows) {
    check_pressed(test);
    const LoadingBranch branch(test.curve);
    TestRows out;
    for (std::size_t i = 1; i <= rows; ++i) {
        const double e = branch.last_strain() * static_cast<double>(i) / static_cast<double>(rows);
        out.path.push_back({.time_s = e / test.strain_rate_per_s, .strain = e});
        out.stress.push_back(branch.stress_at(std::min(e, branch.last_strain())));
    }
    out.turn = rows;
    return out;
}

TestRows cycle_rows(const GradeTest& test, std::size_t rows) {
    TestRows out = loading_rows(test, rows);
    const std::size_t turn = static_cast<std::size_t>(test.curve.turn);
    const std::size_t n = test.curve.nominal_strain.size();
    const std::size_t step = std::max<std::size_t>(1, (n - turn) / rows);
    double travelled = out.path.back().strain, last = travelled;
    for (std::size_t i = turn; i < n; i += step) {
        const double e = test.curve.nominal_strain[i];
        if (e >= last || e < 0.0)
            continue;
        travelled += last - e;
        last = e;
        out.path.push_back({.time_s = travelled / test.strain_rate_per_s, .strain = e});
        out.stress.push_back(test.curve.nominal_stress_Pa[i]);
    }
    return out;
}

TestRows shear_rows(const GradeTest& test, std::size_t rows) {
    check_rate(test);
    const CrushCurve& c = test.curve;
    CELLGRADE_CHECK(c.shear_strain.size() == c.nominal_strain.size() &&
                        c.shear_stress_Pa.size() == c.nominal_strain.size(),
                    "{}: its columns of shear are not as long as its strain", test.name);
    const auto sheared = std::find_if(c.shear_strain.begin(), c.shear_strain.end(),
                                      [](double g) { return g > 0.0; });
    const std::size_t first = static_cast<std::size_t>(sheared - c.shear_strain.begin());
    const std::size_t n = c.shear_strain.size();
    CELLGRADE_CHECK(first < n, "{}: nothing of it is sheared", test.name);
    const std::size_t step = std::max<std::size_t>(1, n / rows);
    TestRows out;
    double time = 0.0, strain = 0.0, shear = 0.0;
    for (std::size_t i = 0; i < n; i = i < first ? std::min(i + step, first) : i + step) {
        const double e = std::max(c.nominal_strain[i], 0.0), g = std::max(c.shear_strain[i], 0.0);
        const double way = std::abs(e - strain) + std::abs(g - shear);
        if (way <= 0.0)
            continue;
        if (i <= first)
            out.turn = out.path.size();
        time += way / test.strain_rate_per_s;
        strain = e;
        shear = g;
        out.path.push_back({.time_s = time, .strain = e, .shear = g});
        out.stress.push_back(c.shear_stress_Pa[i]);
    }
    return out;
}

} // namespace cellgrade
