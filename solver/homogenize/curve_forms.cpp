// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/curve_forms.hpp"

#include "materials/calibration/fit_intervals.hpp"
#include "materials/calibration/least_squares.hpp"
#include "solver/core/error.hpp"
#include "solver/homogenize/grade_law.hpp"
#include "solver/homogenize/loading_branch.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

constexpr int n_rows = 120;
constexpr int starts = 6;
constexpr double level = 0.95;

using Form = double (*)(const std::vector<double>& p, double e);

double rusch(const std::vector<double>& p, double e) {
    return p[0] * std::pow(e, p[1]) + p[2] * std::pow(e, p[3]);
}

double gibson(const std::vector<double>& p, double e) {
    const double E = p[0], collapse = p[1], e_d = p[2], m = p[3], past = e - collapse / E;
    if (past <= 0.0)
        return E * e;
    return past < e_d ? collapse * std::pow(e_d / (e_d - past), m) : HUGE_VAL;
}

/// All of the loading; what counts for errors ends at `to`.
struct Rows {
    std::vector<double> strain, stress;
    double to = 0.0, mean = 0.0; ///< mean stress to there
};

Rows rows_of(const CrushCurve& curve, double to_strain) {
    const LoadingBranch branch(curve);
    const double to = std::min(to_strain, branch.last_strain());
    const auto inside = std::count_if(branch.strain().begin(), branch.strain().end(),
                                      [&](double e) { return e > 0.0 && e <= to; });
    CELLGRADE_CHECK(inside >= 8,
                    "a form needs 8 rows of loading up to a strain of {:.3g}, {} are "
                    "there",
                    to, inside);
    Rows rows{.strain = {}, .stress = {}, .to = to, .mean = branch.energy_to(to) / to};
    CELLGRADE_CHECK(rows.mean > 0.0,
                    "the mean stress to a strain of {:.3g} is {:.3g} Pa; a form "
                    "needs one above 0",
                    to, rows.mean);
    for (int i = 1; i <= n_rows; ++i) {
        rows.strain.push_back(std::min(branch.last_strain(), branch.last_strain() * i / n_rows));
        rows.stress.push_back(branch.stress_at(rows.strain.back()));
    }
    return rows;
}

CurveForm fit_form(Form form,
                   const Rows& rows,
                   const std::vector<FitVariable>& variables,
                   const std::vector<std::string>& names) {
    const auto values = [&](const Eigen::VectorXd& x) {
        std::vector<double> p;
        for (std::size_t k = 0; k < variables.size(); ++k)
            p.push_back(variables[k].value(x[static_cast<Eigen::Index>(k)]));
        return p;
    };
    const auto residuals = [&](const Eigen::VectorXd& x, Eigen::VectorXd& r) {
        const std::vector<double> p = values(x);
        for (std::size_t i = 0; i < rows.strain.size(); ++i)
            r[static_cast<Eigen::Index>(i)] =
                (form(p, rows.strain[i]) - rows.stress[i]) / std::max(rows.stress[i], rows.mean);
    };
    const LeastSquares solution = least_squares(variables, residuals, n_rows, starts);
    const FitIntervals intervals = fit_intervals(variables, names, solution, {n_rows}, level);
    const std::vector<double> p = values(solution.natural);
    CurveForm out{.to_strain = rows.to};
    for (std::size_t k = 0; k < names.size(); ++k)
        out.values.push_back({names[k], p[k], intervals.low[k], intervals.high[k],
                              static_cast<bool>(intervals.determined[k])});
    std::vector<double> strain, of_curve, of_form;
    for (std::size_t i = 0; i < rows.strain.size() && rows.strain[i] <= rows.to + 1e-9; ++i) {
        strain.push_back(rows.strain[i]);
        of_curve.push_back(rows.stress[i]);
        of_form.push_back(form(p, rows.strain[i]));
    }
    const BranchError error = branch_error("", strain, of_curve, of_form);
    out.area = error.area;
    out.energy = error.energy;
    out.worst = error.worst;
    return out;
}

FitVariable above_zero(double low, double high, double start_low, double start_high) {
    return {.scale = FitVariable::Scale::Log,
            .low = low,
            .high = high,
            .start_low = start_low,
            .start_high = start_high};
}

FitVariable number(double low, double high, double start_low, double start_high) {
    return {.low = low, .high = high, .start_low = start_low, .start_high = start_high};
}

} // namespace

double CurveForm::stress_Pa(double strain) const {
    std::vector<double> p;
    for (const FormValue& v : values)
        p.push_back(v.value);
    return name == "rusch" ? rusch(p, strain) : gibson(p, strain);
}

CurveForm fit_rusch(const CrushCurve& curve, double to_strain) {
    const Rows rows = rows_of(curve, to_strain);
    const double s = rows.mean;
    CurveForm form =
        fit_form(rusch, rows,
                 {above_zero(1e-3 * s, 1e2 * s, 0.3 * s, 3.0 * s), number(0.0, 1.0, 0.05, 0.9),
                  above_zero(1e-6 * s, 1e4 * s, 0.3 * s, 30.0 * s), number(1.0, 30.0, 2.0, 12.0)},
                 {"A_Pa", "m", "B_Pa", "n"});
    form.name = "rusch";
    form.formula = "A e^m + B e^n";
    form.source = "Rusch (1969), J. Appl. Polym. Sci. 13, 2297 (from memory)";
    return form;
}

CurveForm fit_gibson(const CrushCurve& curve, double to_strain) {
    const Rows rows = rows_of(curve, to_strain);
    const double s = rows.mean, to = rows.strain.back();
    CurveForm form = fit_form(gibson, rows,
                              {above_zero(0.1 * s, 1e4 * s, 2.0 * s, 40.0 * s),
                               above_zero(0.02 * s, 5.0 * s, 0.3 * s, 1.2 * s),
                               number(to, 1.2, to + 0.02, to + 0.15 < 1.15 ? to + 0.15 : 1.15),
                               number(0.0, 5.0, 0.1, 1.5)},
                              {"E_Pa", "collapse_Pa", "densification_strain", "m"});
    form.name = "gibson";
    form.formula = "E e to e_c = collapse/E, then collapse (e_d / (e_d - e + e_c))^m";
    form.source =
        "Gibson & Ashby (1997), Cellular Solids, ch. 5 and 6 (from memory); strain counted "
        "from collapse";
    return form;
}

} // namespace cellgrade
