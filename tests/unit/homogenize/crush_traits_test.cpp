// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/crush_traits.hpp"

#include "solver/core/error.hpp"
#include "solver/homogenize/loading_branch.hpp"
#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>
#include <random>

using namespace cellgrade;
using test::rel_err;

namespace {

const SpecimenMass mass{.relative_density = 0.2, .solid_density_kg_per_m3 = 1200.0};

/// 10 e to 0.05, flat 0.5 to 0.6, then 0.5 + 20 (e - 0.6)^2; densifies at 0.6217417 by hand.
double plateau_stress(double e) {
    const double past = std::max(e - 0.6, 0.0);
    return std::min(10.0 * e, 0.5) + 20.0 * past * past;
}

CrushCurve sampled(const std::function<double(double)>& stress, double step, double end) {
    CrushCurve curve;
    for (int i = 0; i * step <= end + 1e-12; ++i) {
        curve.nominal_strain.push_back(i * step);
        curve.nominal_stress_Pa.push_back(stress(i * step));
    }
    curve.turn = static_cast<Index>(curve.nominal_strain.size());
    return curve;
}

} // namespace

TEST_CASE("crush traits: noise of 5 % does not move them") {
    std::mt19937 random(20240117);
    std::normal_distribution<double> noise(0.0, 0.05 * 0.5);
    const CrushCurve curve =
        sampled([&](double e) { return plateau_stress(e) + noise(random); }, 2e-4, 0.8);
    const CrushTraits t = crush_traits(curve, mass);
    CHECK(rel_err(t.plateau_stress_Pa, 0.5) < 0.005);          // mean of 1000 rows: 0.16 %
    CHECK(std::abs(t.plateau_end_strain - 0.6866025) < 0.005); // one row: 0.025 / 3.5 = 0.007
    CHECK(std::abs(t.densification_strain - 0.6217417) < 0.015);
    CHECK(rel_err(t.quasi_elastic_gradient_Pa, 10.0) < 0.05);
    CHECK(rel_err(t.energy_to_50_J_per_m3, 0.2375) < 0.005);
}

TEST_CASE("crush traits: a serrated plateau densifies at its last maximum") {
    // dips of 30 % make the efficiency peak at each of them; none of those is densification
    const auto serrated = [](double e) {
        const double wave = e > 0.1 && e < 0.6 ? std::sin(20.0 * std::numbers::pi * e) : 0.0;
        return plateau_stress(e) * (1.0 + 0.3 * std::min(wave, 0.0));
    };
    const CrushTraits t = crush_traits(sampled(serrated, 5e-4, 0.8), mass);
    CHECK(t.densification_strain > 0.57);
    CHECK(t.densification_strain < 0.63);
    CHECK(t.plateau_end_strain > 0.65);
}

TEST_CASE("crush traits: uneven rows give the traits of even ones") {
    CrushCurve curve;
    double e = 0.0;
    for (int i = 0; e < 0.8; ++i) {
        curve.nominal_strain.push_back(e);
        curve.nominal_stress_Pa.push_back(plateau_stress(e));
        e += 2e-4 * (1.0 + i % 7) * (i % 50 == 0 ? 0.1 : 1.0);
    }
    curve.turn = static_cast<Index>(curve.nominal_strain.size());
    const CrushTraits t = crush_traits(curve, mass);
    CHECK(rel_err(t.densification_strain, 0.6217417) < 1e-3);
    CHECK(rel_err(t.plateau_stress_Pa, 0.5) < 1e-6);
    CHECK(rel_err(t.quasi_elastic_gradient_Pa, 10.0) < 1e-6);
    CHECK(rel_err(t.plateau_end_strain, 0.6866025) < 1e-4);
}

TEST_CASE("crush traits: the first maximum before the plateau is the collapse") {
    // a bump of 0.2 cos^2 about strain 0.08 on a plateau of 0.5: top 0.7 at 0.08
    const auto bumped = [](double e) {
        const double x = (e - 0.08) / 0.03;
        const double bump =
            std::abs(x) < 1.0 ? std::pow(std::cos(0.5 * std::numbers::pi * x), 2) : 0.0;
        return plateau_stress(e) + 0.2 * bump;
    };
    const CrushTraits t = crush_traits(sampled(bumped, 5e-4, 0.8), mass);
    CHECK(std::abs(t.collapse_strain - 0.08) < 1e-3);
    CHECK(rel_err(t.collapse_stress_Pa, 0.7) < 2e-3);
}

TEST_CASE("crush traits: what the curve does not reach is NaN") {
    const CrushTraits brief = crush_traits(sampled(plateau_stress, 1e-3, 0.35), mass);
    CHECK(rel_err(brief.quasi_elastic_gradient_Pa, 10.0) < 1e-9);
    CHECK(rel_err(brief.collapse_stress_Pa, 0.5) < 1e-9);
    CHECK(std::isnan(brief.plateau_stress_Pa));
    CHECK(std::isnan(brief.plateau_end_strain));
    CHECK(std::isnan(brief.energy_to_50_J_per_m3));
    CHECK(std::isnan(brief.densification_strain));
    CHECK(std::isnan(brief.densification_stress_Pa));
    CHECK(std::isnan(brief.energy_J_per_m3));
    CHECK(std::isnan(brief.sea_J_per_kg));
    CHECK(std::isnan(brief.efficiency));
    CHECK(std::isnan(brief.ideality));
    CHECK(std::isnan(brief.dissipated_fraction));
    CHECK(std::isnan(brief.residual_strain));
    const CrushTraits plateau = crush_traits(sampled(plateau_stress, 1e-3, 0.6), mass);
    CHECK(std::isnan(plateau.densification_strain)); // the efficiency still rises
    CHECK(rel_err(plateau.plateau_stress_Pa, 0.5) < 1e-9);
}

TEST_CASE("crush traits: an unloading cut short tells no loop") {
    CrushCurve curve = sampled([](double e) { return 2.0 * e; }, 1e-3, 0.5);
    for (int i = 499; i >= 300; --i) {
        curve.nominal_strain.push_back(i * 1e-3);
        curve.nominal_stress_Pa.push_back(4.0 * (i * 1e-3 - 0.25));
    }
    CHECK(std::isnan(crush_traits(curve, mass).dissipated_fraction));
    CHECK(std::isnan(crush_traits(curve, mass).residual_strain));
    curve.nominal_strain.push_back(0.2); // pulls: the line crosses zero at 0.25
    curve.nominal_stress_Pa.push_back(-0.2);
    CHECK(rel_err(crush_traits(curve, mass).residual_strain, 0.25) < 1e-9);
    CHECK(rel_err(crush_traits(curve, mass).dissipated_fraction, 0.5) < 1e-9);
}

TEST_CASE("crush traits: every trait has a definition with unit and source") {
    CHECK(trait_definitions().size() * sizeof(double) == sizeof(CrushTraits));
    for (const TraitDefinition& d : trait_definitions()) {
        INFO(d.name);
        CHECK_FALSE(d.unit.empty());
        CHECK(d.text.size() > 10);
        CHECK_FALSE(d.source.empty());
    }
}

TEST_CASE("loading branch: smoothing keeps a parabola and averages a line") {
    const auto parabola = [](double e) { return 1.0 + 2.0 * e + 30.0 * e * e; };
    const LoadingBranch branch(sampled(parabola, 7e-4, 0.3));
    for (double e : {0.0, 0.0123, 0.15, 0.2995})
        CHECK(rel_err(branch.smooth_stress(e, 0.01, 2), parabola(e)) < 1e-9);
    CHECK(branch.smooth_stress(0.15, 0.01, 1) > parabola(0.15));
}

TEST_CASE("loading branch: bad curves are refused in one clear line") {
    CrushCurve curve = sampled(plateau_stress, 0.01, 0.5);
    curve.nominal_stress_Pa.pop_back();
    CHECK_THROWS_WITH_AS(static_cast<void>(LoadingBranch(curve)),
                         "crush curve has 51 strains but 50 stresses", Error);
    curve.nominal_stress_Pa.push_back(std::nan(""));
    CHECK_THROWS_AS(static_cast<void>(LoadingBranch(curve)), Error);
    curve = sampled(plateau_stress, 0.01, 0.5);
    curve.turn = 52;
    CHECK_THROWS_AS(static_cast<void>(LoadingBranch(curve)), Error);
    curve.turn = 1;
    CHECK_THROWS_AS(static_cast<void>(LoadingBranch(curve)), Error);
}

// Exact      two loading rows, means of 0 and 8 N: 4 N between them, 8 + (8 - 0)/2 = 12 N at the
// end
TEST_CASE("crush curve: displacement over height and top force over area") {
    CrushRecord record;
    record.height_m = 0.02;
    record.gross_area_m2 = 4e-4;
    record.history.displacement_m = {0.0, 0.002, 0.001};
    record.history.force_top_N = {0.0, 8.0, 2.0};
    record.turn_row = 2;
    const CrushCurve curve = crush_curve(record);
    CHECK(curve.nominal_strain[1] == 0.1);
    CHECK(rel_err(curve.nominal_stress_Pa[0], 1e4) < 1e-15);
    CHECK(rel_err(curve.nominal_stress_Pa[1], 3e4) < 1e-15);
    CHECK(rel_err(curve.nominal_stress_Pa[2], 5e3) < 1e-15);
    CHECK(curve.turn == 2);
    record.height_m = 0.0;
    CHECK_THROWS_AS(static_cast<void>(crush_curve(record)), Error);
}
