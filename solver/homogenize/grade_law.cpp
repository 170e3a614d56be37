// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/grade_law.hpp"

#include "materials/calibration/least_squares.hpp"
#include "solver/homogenize/foam_table_fit.hpp"
#include "solver/homogenize/loading_branch.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

constexpr double lowest_poisson = -0.9, highest_poisson = 0.45;
constexpr double most_given_up = 0.01; // of the area under the compression, for shear

/// Rows of a test as the column sees them, with the stress to compare.
struct TestRows {
    std::vector<ColumnMoment> path;
    std::vector<double> stress;
    std::size_t turn = 0; ///< first row of unloading, or of shear
};

void check_rate(const GradeTest& test) {
    CELLGRADE_CHECK(test.strain_rate_per_s > 0.0 && std::isfinite(test.strain_rate_per_s),
                    "{}: strain rate {} 1/s is not above 0", test.name, test.strain_rate_per_s);
}

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

/// Loading in `rows`, then the unloading rows thinned to about as many.
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

/// Pressed to its height, then sheared: all rows of the curve, thinned.
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

BranchError loading_error(const PolymerCard& card, const GradeTest& test, bool fitted) {
    const TestRows rows = loading_rows(test, 400);
    const std::vector<ColumnAnswer> answers = column_path(card, rows.path);
    std::vector<double> strain, of_test, of_law;
    for (std::size_t i = 0; i < rows.path.size(); ++i)
        if (rows.path[i].strain <= test.to_strain + 1e-9) {
            strain.push_back(rows.path[i].strain);
            of_test.push_back(rows.stress[i]);
            of_law.push_back(answers[i].stress_Pa);
        }
    BranchError error = branch_error(test.name, strain, of_test, of_law);
    error.fitted = fitted;
    return error;
}

BranchError shear_error(const PolymerCard& card, const GradeTest& test) {
    const TestRows rows = shear_rows(test, 60);
    const std::vector<ColumnAnswer> answers = column_path(card, rows.path);
    std::vector<double> strain, of_test, of_law;
    for (std::size_t i = rows.turn; i < rows.path.size(); ++i) {
        strain.push_back(rows.path[i].shear);
        of_test.push_back(rows.stress[i]);
        of_law.push_back(answers[i].shear_stress_Pa);
    }
    return branch_error(test.name, strain, of_test, of_law);
}

BranchError
unloading_error(const PolymerCard& card, const TestRows& rows, const std::string& name) {
    const std::vector<ColumnAnswer> answers = column_path(card, rows.path);
    std::vector<double> strain, of_test, of_law;
    for (std::size_t i = rows.turn; i < rows.path.size(); ++i) {
        strain.push_back(rows.path[i].strain);
        of_test.push_back(rows.stress[i]);
        of_law.push_back(answers[i].stress_Pa);
    }
    return branch_error(name, strain, of_test, of_law);
}

bool unloads(const GradeTest& test) {
    return static_cast<std::size_t>(test.curve.turn) + 3 < test.curve.nominal_strain.size();
}

/// Every third row: a search does not need more.
FoamTable thinned(const FoamTable& table) {
    FoamTable few = table;
    few.strain.clear();
    few.stress_Pa.clear();
    few.weight.clear();
    for (std::size_t i = 2; i < table.strain.size(); i += 3) {
        few.strain.push_back(table.strain[i]);
        few.stress_Pa.push_back(table.stress_Pa[i]);
        few.weight.push_back(table.weight[i]);
    }
    return few;
}

/// Poisson's ratio at rest whose shear curves are nearest, among those that let the compression be
/// met as well as 0 does, within a hundredth of its area: coarse, because the misfit of several
/// curves may have two valleys, then golden section on the sum of areas.
double poisson_by_shear(const GradeLawInput& input, const FoamTable& whole, GradeLaw& out) {
    FoamTable table = thinned(whole);
    table.exponents = {fit_foam_table(table, 0.0).law.closing_exponent};
    double best = 0.0, least = HUGE_VAL, allowed = HUGE_VAL;
    const auto misfit = [&](double nu) {
        PolymerCard card = out.card;
        card.law = fit_foam_table(table, nu).law;
        const double pressed = loading_error(card, input.compression, true).area;
        if (allowed == HUGE_VAL)
            allowed = pressed + most_given_up;
        if (!(pressed <= allowed))
            return HUGE_VAL;
        double sum = 0.0;
        for (const GradeTest& test : input.shear)
            sum += shear_error(card, test).area;
        if (!std::isfinite(sum))
            return HUGE_VAL;
        if (sum < least) {
            least = sum;
            best = nu;
        }
        return sum;
    };
    (void)misfit(0.0); // first: it says what compression allows
    constexpr int steps = 6;
    constexpr double step = (highest_poisson - lowest_poisson) / steps;
    for (int i = 0; i <= steps; ++i)
        (void)misfit(lowest_poisson + i * step);
    CELLGRADE_CHECK(std::isfinite(least),
                    "no Poisson's ratio from {} to {} carries the shear curves", lowest_poisson,
                    highest_poisson);
    constexpr double golden = 0.6180339887498949;
    double low = std::max(best - step, lowest_poisson),
           high = std::min(best + step, highest_poisson);
    double a = high - golden * (high - low), b = low + golden * (high - low);
    double at_a = misfit(a), at_b = misfit(b);
    while (high - low > 0.01) {
        if (at_a < at_b) {
            high = b, b = a, at_b = at_a;
            a = high - golden * (high - low);
            at_a = misfit(a);
        } else {
            low = a, a = b, at_a = at_b;
            b = low + golden * (high - low);
            at_b = misfit(b);
        }
    }
    return best;
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
    if (const auto side = card.sources.find("instantaneous_side_modulus_MPa");
        side != card.sources.end())
        side->second = "fitted to the shear curves";
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
    double nu = 0.0;
    if (input.shear.empty())
        out.notes.push_back(
            "no shear curve: Poisson's ratio 0 is taken, so the shear modulus is half "
            "the first slope and nothing checks it");
    else
        nu = poisson_by_shear(input, table, out);
    const FoamTableFit fit = fit_foam_table(table, nu);
    out.card.law = fit.law;
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
