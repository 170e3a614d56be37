// SPDX-License-Identifier: Apache-2.0
#include "solver/report/curve_plot.hpp"

#include "solver/core/error.hpp"
#include "solver/core/publish.hpp"
#include "solver/report/plot_curves.hpp"
#include "tests/support/compare.hpp"
#include "tests/support/sample_results.hpp"
#include "tests/support/scratch.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>

using namespace cellgrade;

namespace {

std::size_t count(const std::string& text, const std::string& part) {
    std::size_t n = 0;
    for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1))
        ++n;
    return n;
}

bool has(const std::string& text, const std::string& part) {
    return text.find(part) != std::string::npos;
}

} // namespace

TEST_CASE("curve picture: panels by cell, every curve drawn, untrusted labelled, caution below") {
    const CurvePlot plot = curve_plot_of(test::sample_table());
    REQUIRE(plot.curves.size() == 3); // the failed row has no curve
    const std::string svg = curve_plot_svg(plot);
    CHECK(count(svg, "<clipPath ") == 2);
    CHECK(has(svg, ">octet</text>"));
    CHECK(count(svg, "<polyline ") == 6); // loading and unloading of each
    CHECK(has(svg, ">0.2 untrusted</text>"));
    CHECK(has(svg, ">untrusted: a limit was not met</text>"));
    CHECK(has(svg, ">nominal strain [-]</text>"));
    CHECK(has(svg, ">nominal stress [MPa]</text>"));
    CHECK(has(svg, "certifies nothing"));
    CHECK(svg == curve_plot_svg(plot));
}

TEST_CASE("curve picture: a band lies under its curves and has its place in the legend") {
    CurvePlot plot = curve_plot_of(test::sample_table());
    plot.bands.push_back({.panel = plot.curves.front().panel,
                          .label = "scatter of three",
                          .strain = {0.0, 0.2, 0.4},
                          .low_Pa = {0.0, 1e5, 1e5},
                          .high_Pa = {0.0, 9e6, 3e5}});
    const std::string svg = curve_plot_svg(plot);
    CHECK(has(svg, ">scatter of three</text>"));
    const std::size_t band = svg.find("<polygon ");
    REQUIRE(band != std::string::npos);
    CHECK(band < svg.find("<polyline "));
    CurvePlot repeat = plot;
    repeat.bands.clear();
    repeat.curves.front().is_repeat = true;
    CHECK(has(curve_plot_svg(repeat), "#666666"));
}

TEST_CASE("curve picture: colour never alone carries meaning") {
    GradeTable table = test::sample_table();
    table.rows[1].grade.speed_m_per_s = 4.0;
    for (GradeRow& row : table.rows)
        row.status = "trusted";
    const std::string svg = curve_plot_svg(curve_plot_of(table));
    // A second speed has its own dashes and marker shape; densities stand at the curves' ends.
    CHECK(has(svg, "stroke-dasharray=\"10 3 2 3\""));
    CHECK(has(svg, ">4 m/s</text>"));
    for (const char* density : {">0.1</text>", ">0.15</text>", ">0.2</text>"})
        CHECK(count(svg, density) >= 2); // legend and label; ticks may add to it
    CHECK_FALSE(has(svg, "untrusted"));
}

TEST_CASE("curve picture: the linear axis ends above densification and says what it leaves out") {
    CurvePlot plot = curve_plot_of(test::sample_table());
    const std::vector<double> stress = plot.curves[2].curve.nominal_stress_Pa; // the stiffest
    const double largest = *std::max_element(stress.begin(), stress.end());
    for (PlotCurve& curve : plot.curves)
        curve.densification_strain = 0.3;
    const auto at = loading_stress(plot.curves[2].curve, 0.3);
    REQUIRE(at.has_value());
    REQUIRE(2.5 * *at < largest);
    CHECK(has(curve_plot_svg(plot), fmt::format("the furthest to {:.3g} MPa.", largest / 1e6)));
    // The axis ends at the tick above: what stays below that does not leave.
    const double top = 1e6 * axis_about_zero(0.0, 2.5e-6 * *at, 5).high;
    for (PlotCurve& curve : plot.curves)
        for (double& value : curve.curve.nominal_stress_Pa)
            value = std::min(value, top);
    REQUIRE(top > 2.5 * *at);
    CHECK_FALSE(has(curve_plot_svg(plot), "the furthest to"));
    plot.curves[2].curve.nominal_stress_Pa.back() = 1.01 * top;
    CHECK(has(curve_plot_svg(plot), "the furthest to"));
    plot.stress_scale = AxisScale::Log;
    CHECK_FALSE(has(curve_plot_svg(plot), "the furthest to"));
}

TEST_CASE("curve picture: stress between rows is that of the loading branch") {
    const CrushCurve curve{.nominal_strain = {0.0, 0.2, 0.4, 0.1},
                           .nominal_stress_Pa = {0.0, 10.0, 30.0, 1.0},
                           .turn = 3};
    CHECK(test::rel_err(loading_stress(curve, 0.3).value_or(0.0), 20.0) < 1e-15);
    CHECK(test::rel_err(loading_stress(curve, 0.1).value_or(0.0), 5.0) < 1e-15);
    CHECK_FALSE(loading_stress(curve, 0.5).has_value());
}

TEST_CASE("curve picture: small stresses are shown in kPa, curves without density by name") {
    PlotCurve soft{.curve = test::sample_curve(0.1),
                   .label = "coupon <1>",
                   .relative_density = std::nan(""),
                   .speed_m_per_s = std::nan(""),
                   .strain_rate_per_s = std::nan(""),
                   .densification_strain = 0.3};
    const std::string svg = curve_plot_svg({.title = "t", .curves = {soft}});
    CHECK(has(svg, ">nominal stress [kPa]</text>"));
    CHECK(has(svg, ">coupon &lt;1&gt;</text>"));
    CHECK_FALSE(has(svg, "relative density"));
}

TEST_CASE("curve picture: stress below 0 goes down, not up, and rest is drawn") {
    CurvePlot plot{.title = "cycle"};
    PlotCurve& curve = plot.curves.emplace_back();
    curve.label = "cycle.csv";
    curve.relative_density = curve.speed_m_per_s = curve.strain_rate_per_s =
        curve.densification_strain = std::nan("");
    curve.curve.nominal_strain = {0.0, 0.1, 0.0, -0.1};
    curve.curve.nominal_stress_Pa = {0.0, 1e6, -0.5e6, -2e6};
    curve.curve.turn = 4;
    const std::string svg = curve_plot_svg(plot);
    for (const char* tick : {">-2</text>", ">-1</text>", ">1</text>", ">-0.10</text>"})
        CHECK_MESSAGE(has(svg, tick), tick);
    // The points of the polyline: y grows downwards, so the order of stress turns round.
    const std::size_t at = svg.find("points=\"") + 8;
    double x[4] = {}, y[4] = {};
    REQUIRE(std::sscanf(svg.c_str() + at, "%lf,%lf %lf,%lf %lf,%lf %lf,%lf", &x[0], &y[0], &x[1],
                        &y[1], &x[2], &y[2], &x[3], &y[3]) == 8);
    CHECK(y[1] < y[0]);
    CHECK(y[2] > y[0]);
    CHECK(test::rel_err(y[3] - y[0], 2.0 * (y[0] - y[1])) < 0.01); // tenths of a px
    CHECK(test::rel_err(x[0] - x[3], x[1] - x[0]) < 0.01);
}

TEST_CASE("curve picture: relaxation readings stand on log time under their series") {
    CurvePlot plot{.title = "relaxation"};
    RelaxationPanel& panel = plot.relaxation;
    panel.name = "master curve at 23 C";
    panel.time_name = "time / a_T [s]";
    panel.readings = {{.label = "5 C", .time_s = {0.01, 0.1, 1.0}, .modulus_Pa = {9e6, 8e6, 7e6}},
                      {.label = "23 C",
                       .time_s = {0.0, 1.0, 10.0}, // 0 has no logarithm
                       .modulus_Pa = {9e6, 7e6, 6e6}}};
    panel.fit_time_s = {0.01, 0.3, 10.0};
    panel.fit_modulus_Pa = {9e6, 7.5e6, 6e6};
    const std::string svg = curve_plot_svg(plot);
    CHECK(count(svg, "<circle ") == 5 + 2); // readings and key
    CHECK(count(svg, "<polyline ") == 1);
    for (const char* words : {">5 C</text>", ">23 C</text>", ">fitted series</text>",
                              ">time / a_T [s]</text>", ">modulus [MPa]</text>", ">0.01</text>"})
        CHECK_MESSAGE(has(svg, words), words);
    CHECK_FALSE(has(svg, "loss"));
    CHECK_FALSE(has(svg, "nan"));
    panel.readings[0].loss_Pa = {0.5e6, 0.6e6, 0.4e6};
    panel.fit_loss_Pa = {0.5e6, 0.6e6, 0.3e6};
    const std::string both = curve_plot_svg(plot);
    CHECK(count(both, "<polyline ") == 2);
    CHECK(has(both, ">fitted series, loss</text>"));
    CHECK(has(both, ">rings: loss</text>"));
    // Beside curves too, and a plot of a table has none.
    CurvePlot table = curve_plot_of(test::sample_table());
    const std::size_t without = count(curve_plot_svg(table), "<circle ");
    table.relaxation = plot.relaxation;
    CHECK(count(curve_plot_svg(table), "<circle ") > without);
}

TEST_CASE("curve picture: NaN in a curve does no harm; nothing to draw is refused") {
    CurvePlot plot = curve_plot_of(test::sample_table());
    plot.curves[0].curve.nominal_stress_Pa[5] = std::nan("");
    plot.curves[0].curve.nominal_strain[7] = std::nan("");
    for (const AxisScale scale : {AxisScale::Linear, AxisScale::Log}) {
        plot.stress_scale = scale;
        const std::string svg = curve_plot_svg(plot);
        CHECK_FALSE(has(svg, "nan"));
        CHECK_FALSE(has(svg, "inf"));
    }
    CHECK(has(test::message_of([] { (void)curve_plot_svg({.title = "t"}); }), "nothing to draw"));
    plot.width_px = 10.0;
    CHECK(has(test::message_of([&] { (void)curve_plot_svg(plot); }), "too narrow"));
}

#ifdef CELLGRADE_XMLLINT
TEST_CASE("curve picture: well-formed XML by xmllint") {
    const test::ScratchFolder folder;
    CurvePlot plot = curve_plot_of(test::sample_table());
    plot.title = "A & B <\"quoted\">";
    for (const AxisScale scale : {AxisScale::Linear, AxisScale::Log}) {
        plot.stress_scale = scale;
        publish_text(folder / "p.svg", curve_plot_svg(plot));
        const std::string command =
            std::string(CELLGRADE_XMLLINT) + " --noout " + (folder / "p.svg").string();
        CHECK(std::system(command.c_str()) == 0);
    }
}
#endif
