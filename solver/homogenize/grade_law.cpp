// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/grade_law.hpp"

#include "materials/calibration/least_squares.hpp"
#include "solver/homogenize/cubic_shear_fit.hpp"
#include "solver/homogenize/foam_table_fit.hpp"
#include "solver/homogenize/loading_branch.hpp"
#include "solver/homogenize/test_rows.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

constexpr std::size_t shear_rows_fitted = 80;

/// Law against test over rows [first, last), by one stress of the column and one strain of the
/// path.
BranchError error_over(const PolymerCard& card,
                       const std::string& name,
                       const TestRows& rows,
                       std::size_t first,
                       std::size_t last,
                       double ColumnMoment::*strain_of,
                       double ColumnAnswer::*stress_of) {
    const std::vector<ColumnAnswer> answers = column_path(card, rows.path);
    std::vector<double> strain, of_test, of_law;
    for (std::size_t i = first; i < last; ++i) {
        strain.push_back(rows.path[i].*strain_of);
        of_test.push_back(rows.stress[i]);
        of_law.push_back(answers[i].*stress_of);
    }
    return branch_error(name, strain, of_test, of_law);
}

BranchError loading_error(const PolymerCard& card, const GradeTest& test, bool fitted) {
    const TestRows rows = loading_rows(test, 400);
    const auto counted =
        std::count_if(rows.path.begin(), rows.path.end(),
                      [&](const ColumnMoment& m) { return m.strain <= test.to_strain + 1e-9; });
    BranchError error = error_over(card, test.name, rows, 0, static_cast<std::size_t>(counted),
                                   &ColumnMoment::strain, &ColumnAnswer::stress_Pa);
    error.fitted = fitted;
    return error;
}

BranchError shear_error(const PolymerCard& card, const GradeTest& test) {
    const TestRows rows = shear_rows(test, 60);
    return error_over(card, test.name, rows, rows.turn, rows.path.size(), &ColumnMoment::shear,
                      &ColumnAnswer::shear_stress_Pa);
}

BranchError
unloading_error(const PolymerCard& card, const TestRows& rows, const std::string& name) {
    return error_over(card, name, rows, rows.turn, rows.path.size(), &ColumnMoment::strain,
                      &ColumnAnswer::stress_Pa);
}

bool unloads(const GradeTest& test) {
    return static_cast<std::size_t>(test.curve.turn) + 3 < test.curve.nominal_strain.size();
}

void fit_shear(const GradeLawInput& input, GradeLaw& out) {
    std::vector<TestRows> tests;
    for (const GradeTest& test : input.shear)
        tests.push_back(shear_rows(test, shear_rows_fitted));
    const CubicShearFit fit = fit_cubic_shear(out.card, tests);
    std::get<TabulatedFoam>(out.card.law).set_cubic_shear(fit.shear);
    for (std::size_t i = 0; i < tests.size(); ++i)
        if (fit.falls[i])
            out.notes.push_back(fmt::format("{}: its shear stress falls after a maximum; a stable "
                                            "law cannot, and passes evenly between",
                                            input.shear[i].name));
}

/// r, m and beta of the damage that unloads as the test did.
void fit_damage(GradeLaw& out, const TestRows& rows) {
    const double scale = initial_moduli(out.card.law).E0;
    const std::vector<FitVariable> variables{
        {.scale = FitVariable::Scale::Log,
         .low = 1.001,
         .high = 50.0,
         .start_low = 1.02,
         .start_high = 4.0},
        {.scale = FitVariable::Scale::Log,
         .low = 1e-6 * scale,
         .high = scale,
         .start_low = 1e-3 * scale,
         .start_high = 0.05 * scale},
        {.low = 0.0, .high = 10.0, .start_low = 0.0, .start_high = 1.0}};
    const auto damage_of = [&](const Eigen::VectorXd& x) {
        return MullinsDamage{.r = variables[0].value(x[0]),
                             .m = variables[1].value(x[1]),
                             .beta = variables[2].value(x[2])};
    };
    const double largest = *std::max_element(rows.stress.begin(), rows.stress.end());
    const auto residuals = [&](const Eigen::VectorXd& x, Eigen::VectorXd& r) {
        PolymerCard card = out.card;
        card.damage = damage_of(x);
        const std::vector<ColumnAnswer> answers = column_path(card, rows.path);
        for (std::size_t i = rows.turn; i < rows.path.size(); ++i)
            r[static_cast<Eigen::Index>(i - rows.turn)] =
                (answers[i].stress_Pa - rows.stress[i]) / largest;
    };
    const auto n = static_cast<Eigen::Index>(rows.path.size() - rows.turn);
    out.card.damage = damage_of(least_squares(variables, residuals, n, 2).natural);
}

/// How far beside the rates of its curves a law is taken to hold.
double rate_margin(const GradeLawInput& input) {
    return input.prony.empty() ? 1.1 : 10.0;
}

void describe(const GradeLawInput& input, GradeLaw& out) {
    PolymerCard& card = out.card;
    const std::string fitted = fmt::format("fitted to {}", input.compression.name);
    card.sources.clear();
    for (const std::string& key : value_keys(card))
        card.sources[key] = fitted;
    card.sources["density_kg_per_m3"] = "relative density times density of the polymer";
    card.sources["void_fraction"] = "1 - relative density";
    if (!card.prony.empty())
        card.sources["prony"] = input.prony_source;
    for (auto& [key, source] : card.sources)
        if (key.find("_shear_") != std::string::npos || key == "shear_knot_spacing" ||
            key == "pressed_volume_loss")
            source = "fitted to the shear curves";
    if (card.damage)
        card.sources["damage"] = "fitted to the unloading of " + input.compression.name;
    for (const char* key : {"stretch_min", "stretch_max"})
        card.sources[key] = "range of the fitted curves";
    for (const char* key : {"rate_min_per_s", "rate_max_per_s"})
        card.sources[key] = input.prony.empty()
                                ? "rates of the curves, a tenth beside them"
                                : "rates of the curves and a decade beside them by the relaxation "
                                  "of the polymer";
    for (const char* key : {"coefficient_on_itself", "coefficient_on_platen"})
        if (card.sources.contains(key))
            card.sources[key] = "of the polymer's card";
}

void note_sheared_ellipticity(const GradeTest& test, GradeLaw& out) {
    const TestRows rows = shear_rows(test, 40);
    const std::vector<ColumnAnswer> answers = column_path(out.card, rows.path);
    for (std::size_t i = rows.turn; i < rows.path.size(); ++i)
        if (!elliptic_at(out.card.law, column_gradient(rows.path[i], answers[i]))) {
            out.notes.push_back(fmt::format("{}: sheared past {:.2f} bands can form in a block of "
                                            "this law: its answer then depends on the mesh",
                                            test.name, rows.path[i].shear));
            return;
        }
}

void set_validity(const GradeLawInput& input, GradeLaw& out, double largest_lateral) {
    double fastest = input.compression.strain_rate_per_s, slowest = fastest, least = 1.0;
    const auto take = [&](const GradeTest& test) {
        fastest = std::max(fastest, test.strain_rate_per_s);
        slowest = std::min(slowest, test.strain_rate_per_s);
        for (const double e : test.curve.nominal_strain)
            least = std::min(least, 1.0 - e);
    };
    take(input.compression);
    for (const auto* tests : {&input.shear, &input.compared})
        for (const GradeTest& test : *tests)
            take(test);
    const double beside = rate_margin(input);
    out.card.valid = {.stretch_min = least,
                      .stretch_max = std::max(1.001, largest_lateral),
                      .rate_min_per_s = slowest / beside,
                      .rate_max_per_s = fastest * beside};
}

/// Largest stretch of the fitted columns: the long diagonal of the sheared ones.
double largest_stretch(const GradeLawInput& input, const GradeLaw& out) {
    double largest = 1.0;
    const auto take = [&](const TestRows& rows) {
        const std::vector<ColumnAnswer> answers = column_path(out.card, rows.path);
        for (std::size_t i = 0; i < answers.size(); ++i)
            if (std::isfinite(answers[i].lateral))
                largest = std::max(largest, std::hypot(answers[i].lateral, rows.path[i].shear));
    };
    take(loading_rows(input.compression, 100));
    for (const GradeTest& test : input.shear)
        take(shear_rows(test, 100));
    return largest;
}

} // namespace

BranchError branch_error(std::string name,
                         std::span<const double> strain,
                         std::span<const double> test_Pa,
                         std::span<const double> law_Pa) {
    CELLGRADE_CHECK(strain.size() >= 2 && test_Pa.size() == strain.size() &&
                        law_Pa.size() == strain.size(),
                    "{}: fewer than two rows to compare", name);
    double between = 0.0, under_test = 0.0, under_law = 0.0, way = 0.0, worst = 0.0;
    for (std::size_t i = 0; i < strain.size(); ++i) {
        worst = std::max(worst, std::abs(law_Pa[i] - test_Pa[i]));
        if (i == 0)
            continue;
        const double half = 0.5 * std::abs(strain[i] - strain[i - 1]);
        between +=
            half * (std::abs(law_Pa[i] - test_Pa[i]) + std::abs(law_Pa[i - 1] - test_Pa[i - 1]));
        under_test += half * (test_Pa[i] + test_Pa[i - 1]);
        under_law += half * (law_Pa[i] + law_Pa[i - 1]);
        way += 2.0 * half;
    }
    return {.name = std::move(name),
            .fitted = true,
            .to_strain = *std::max_element(strain.begin(), strain.end()),
            .area = between / under_test,
            .energy = under_law / under_test - 1.0,
            .worst = worst * way / under_test};
}

GradeLaw fit_grade_law(const GradeLawInput& input) {
    CELLGRADE_CHECK(input.relative_density > 0.0 && input.relative_density < 1.0,
                    "relative density {} is not between 0 and 1", input.relative_density);
    CELLGRADE_CHECK(input.density_kg_per_m3 > 0.0, "density {} kg/m3 is not above 0",
                    input.density_kg_per_m3);
    check_pressed(input.compression);
    const FoamTable table = foam_table(LoadingBranch(input.compression.curve), input.prony,
                                       input.compression.strain_rate_per_s,
                                       1.0 - input.relative_density, input.compression.to_strain);
    GradeLaw out{.card = {.name = input.name,
                          .source = "law of a homogenised grade, fitted to computed crushes",
                          .density_kg_per_m3 = input.density_kg_per_m3,
                          .law = TabulatedFoam{},
                          .prony = input.prony,
                          .friction_on_itself = input.friction_on_itself,
                          .friction_on_platen = input.friction_on_platen}};
    const FoamTableFit fit = fit_foam_table(table, 0.0);
    out.card.law = fit.law;
    if (input.shear.empty())
        out.notes.push_back("no shear curve: the law is isotropic, its shear modulus half the "
                            "first slope, and nothing checks it");
    else
        fit_shear(input, out);
    out.relative_misfit = fit.misfit;
    out.branches.push_back(loading_error(out.card, input.compression, true));
    if (unloads(input.compression)) {
        fit_damage(out, cycle_rows(input.compression, 40));
        const TestRows rows = cycle_rows(input.compression, 100);
        out.branches.push_back(
            unloading_error(out.card, rows, input.compression.name + ", unloading"));
    }
    for (const GradeTest& test : input.shear)
        out.branches.push_back(shear_error(out.card, test));
    for (const GradeTest& test : input.compared)
        out.branches.push_back(loading_error(out.card, test, false));
    out.elliptic_to = elliptic_to(out.card.law, input.compression.to_strain);
    if (out.elliptic_to < input.compression.to_strain - 0.011)
        out.notes.push_back(fmt::format("past a strain of {:.2f} bands can form in a block of this "
                                        "law: its answer then depends on the mesh",
                                        out.elliptic_to));
    for (const GradeTest& test : input.shear)
        note_sheared_ellipticity(test, out);
    if (fit.falls)
        out.notes.push_back(
            "the curve falls after its first maximum; a stable law cannot, and passes "
            "evenly between peak and trough");
    set_validity(input, out, largest_stretch(input, out));
    describe(input, out);
    out.card.check();
    return out;
}

} // namespace cellgrade
