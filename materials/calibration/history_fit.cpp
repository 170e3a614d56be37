// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/history_fit.hpp"

#include "materials/calibration/coupon_response.hpp"
#include "materials/calibration/damage_values.hpp"
#include "materials/calibration/history.hpp"
#include "materials/calibration/joint_curves.hpp"
#include "materials/calibration/nnls.hpp"
#include "materials/calibration/student_t.hpp"
#include "solver/core/error.hpp"

#include <Eigen/QR>

#include <algorithm>
#include <cmath>
#include <numeric>

namespace cellgrade {

namespace {

/// Branch moduli over those of the trial law, long-term one first, and what they leave.
struct Projection {
    Eigen::MatrixXd columns; ///< weighted
    Eigen::VectorXd want;
    Eigen::VectorXd moduli;
};

/// Non-negative least squares on some columns; zero elsewhere.
Eigen::VectorXd solved(const Eigen::MatrixXd& R, const std::vector<Eigen::Index>& used) {
    const Eigen::Index m = R.cols() - 1;
    Eigen::MatrixXd A(R.rows(), static_cast<Eigen::Index>(used.size()));
    for (std::size_t i = 0; i < used.size(); ++i)
        A.col(static_cast<Eigen::Index>(i)) = R.col(used[i]);
    const Eigen::VectorXd x = non_negative_least_squares(A, R.col(m));
    Eigen::VectorXd all = Eigen::VectorXd::Zero(m);
    for (std::size_t i = 0; i < used.size(); ++i)
        all[used[i]] = x[static_cast<Eigen::Index>(i)];
    return all;
}

/// Columns and readings turned to a triangle of the same normal equations.
Eigen::MatrixXd triangle(const Projection& p) {
    Eigen::MatrixXd both(p.columns.rows(), p.columns.cols() + 1);
    both << p.columns, p.want;
    const Eigen::HouseholderQR<Eigen::MatrixXd> qr(both);
    const Eigen::Index k = std::min(both.rows(), both.cols());
    return qr.matrixQR().topRows(k).triangularView<Eigen::Upper>();
}

/// Law, damage and relaxation against the histories. Unknowns on the natural scale: those of the
/// law, three of damage if there is any, then those of the spectrum.
class HistoryModel {
public:
    HistoryModel(const CandidateLaw& law,
                 bool damaged,
                 std::span<const Coupon> coupons,
                 RelaxationSpectrum spectrum,
                 CurveWeighting weighting)
        : law_(law), damaged_(damaged), coupons_(coupons), spectrum_(std::move(spectrum)),
          factors_(curve_factors(coupons, weighting)) {
        for (const Coupon& c : coupons_)
            timed_rows_ += c.time_s.empty() ? 0 : static_cast<Eigen::Index>(c.time_s.size());
    }

    [[nodiscard]] Eigen::Index timed_rows() const { return timed_rows_; }

    /// Unknowns before those of the spectrum.
    [[nodiscard]] Eigen::Index n_point() const {
        return static_cast<Eigen::Index>(law_.variables().size()) + (damaged_ ? 3 : 0);
    }
    [[nodiscard]] AnyLaw law(const Eigen::VectorXd& natural) const { return law_.law(natural); }
    [[nodiscard]] std::optional<MullinsDamage> damage(const Eigen::VectorXd& natural) const {
        if (!damaged_)
            return std::nullopt;
        return damage_of(natural.segment<3>(n_point() - 3));
    }

    [[nodiscard]] Projection project(const Eigen::VectorXd& natural) const {
        const AnyLaw trial = law(natural);
        const std::vector<double>& times = spectrum_.times_s();
        Projection p{.columns =
                         Eigen::MatrixXd(timed_rows_, static_cast<Eigen::Index>(times.size()) + 1),
                     .want = Eigen::VectorXd(timed_rows_),
                     .moduli = {}};
        Eigen::Index row = 0;
        for (std::size_t c = 0; c < coupons_.size(); ++c) {
            const Coupon& coupon = coupons_[c];
            if (coupon.time_s.empty())
                continue;
            const auto n = static_cast<Eigen::Index>(coupon.time_s.size());
            p.columns.middleRows(row, n) =
                factors_[c] * branch_stresses(trial, times, coupon.mode, coupon.stretch,
                                              coupon.time_s, damage(natural));
            for (Eigen::Index i = 0; i < n; ++i)
                p.want[row + i] = factors_[c] * coupon.stress_Pa[static_cast<std::size_t>(i)];
            row += n;
        }
        if (!p.columns.allFinite())
            return p;
        std::vector<Eigen::Index> all(times.size() + 1);
        std::iota(all.begin(), all.end(), 0);
        p.moduli = solved(triangle(p), all);
        return p;
    }

    [[nodiscard]] Residuals projected() const {
        return [this](const Eigen::VectorXd& natural, Eigen::VectorXd& residual) {
            const Projection p = project(natural);
            if (p.moduli.size() == 0)
                residual.setConstant(HUGE_VAL);
            else
                residual = p.columns * p.moduli - p.want;
        };
    }

    /// Residuals of law and ratios r together, on the full response.
    [[nodiscard]] Residuals joint() const {
        return [this](const Eigen::VectorXd& natural, Eigen::VectorXd& residual) {
            const AnyLaw trial = law(natural);
            const std::vector<PronyTerm> prony = terms(natural);
            Eigen::Index row = 0;
            for (std::size_t c = 0; c < coupons_.size(); ++c) {
                const Coupon& coupon = coupons_[c];
                const std::vector<double> P = coupon_stresses(
                    trial, prony, coupon.mode, coupon.stretch, coupon.time_s, damage(natural));
                for (std::size_t i = 0; i < P.size(); ++i)
                    residual[row++] = factors_[c] * (P[i] - coupon.stress_Pa[i]);
            }
        };
    }

    [[nodiscard]] Eigen::VectorXd of_spectrum(const Eigen::VectorXd& natural) const {
        return natural.tail(natural.size() - n_point());
    }
    [[nodiscard]] std::vector<PronyTerm> terms(const Eigen::VectorXd& natural) const {
        return spectrum_.terms(of_spectrum(natural));
    }

private:
    const CandidateLaw& law_;
    bool damaged_;
    std::span<const Coupon> coupons_;
    RelaxationSpectrum spectrum_;
    std::vector<double> factors_;
    Eigen::Index timed_rows_ = 0;
};

double information(double squares, Eigen::Index rows, std::size_t values) {
    const auto n = static_cast<double>(rows);
    return n * std::log(std::max(squares, 1e-300) / n) + static_cast<double>(values) * std::log(n);
}

/// Columns that stay: the long-term one, and branches by BIC.
std::vector<Eigen::Index> chosen(const Projection& p, std::size_t law_values, int most_terms) {
    const Eigen::MatrixXd R = triangle(p);
    const Eigen::Index m = p.columns.cols();
    const auto score = [&](const std::vector<Eigen::Index>& used) {
        const Eigen::VectorXd x = solved(R, used);
        return information((R.leftCols(m) * x - R.col(m)).squaredNorm(), p.columns.rows(),
                           law_values + used.size() - 1);
    };
    std::vector<Eigen::Index> used{0};
    for (Eigen::Index i = 1; i < m; ++i)
        if (p.moduli[i] > 0.0)
            used.push_back(i);
    double best = score(used);
    while (used.size() > 1) {
        std::size_t drop = 0;
        double least = HUGE_VAL;
        for (std::size_t i = 1; i < used.size(); ++i) {
            std::vector<Eigen::Index> fewer = used;
            fewer.erase(fewer.begin() + static_cast<std::ptrdiff_t>(i));
            if (const double s = score(fewer); s < least) {
                least = s;
                drop = i;
            }
        }
        if (drop == 0 || (least >= best && used.size() - 1 <= static_cast<std::size_t>(most_terms)))
            break;
        best = least;
        used.erase(used.begin() + static_cast<std::ptrdiff_t>(drop));
    }
    return used;
}

bool scales_with_branches(std::string_view key) {
    return key.ends_with("Pa") && key != "bulk_modulus_MPa";
}

/// Where the joint search starts: law and energy of damage of the projection times the sum of its
/// branch moduli.
std::vector<FitVariable> joint_variables(const CandidateLaw& model,
                                         std::vector<FitVariable> variables,
                                         const Eigen::VectorXd& natural,
                                         const RelaxationSpectrum& spectrum,
                                         const Eigen::VectorXd& moduli,
                                         const std::vector<Eigen::Index>& used) {
    const std::vector<LawValue> values = law_values(model.law(natural));
    const std::size_t n_law = model.variables().size();
    double total = 0.0;
    for (const Eigen::Index i : used)
        total += moduli[i];
    for (std::size_t k = 0; k < variables.size(); ++k) {
        const double value = variables[k].value(natural[static_cast<Eigen::Index>(k)]);
        const bool scales = k < n_law ? scales_with_branches(values[model.places()[k]].key)
                                      : damage_keys[k - n_law] == "damage.m_kJ_per_m3";
        start_at(variables[k], scales ? total * value : value);
    }
    const double rest = std::max(moduli[0], 1e-2 * total);
    std::vector<double> ratios;
    for (std::size_t i = 1; i < used.size(); ++i)
        ratios.push_back(moduli[used[i]] / rest);
    const std::vector<FitVariable> more = spectrum.variables(ratios);
    variables.insert(variables.end(), more.begin(), more.end());
    return variables;
}

/// Intervals of shares from those of the spectrum's unknowns, which stand from `first` on.
/// @param slopes   d ln r_i / d unknown_k
std::vector<FittedTerm> terms_of(const std::vector<PronyTerm>& terms,
                                 const Eigen::MatrixXd& slopes,
                                 std::size_t first,
                                 const FitIntervals& intervals,
                                 double t) {
    std::vector<FittedTerm> out;
    const auto m = static_cast<Eigen::Index>(terms.size());
    const auto at = static_cast<Eigen::Index>(first);
    const Eigen::MatrixXd covariance =
        slopes * intervals.covariance.block(at, at, slopes.cols(), slopes.cols()) *
        slopes.transpose();
    const auto determined = [&](std::size_t i) {
        for (Eigen::Index k = 0; k < slopes.cols(); ++k)
            if (slopes(static_cast<Eigen::Index>(i), k) != 0.0 &&
                !intervals.determined[first + static_cast<std::size_t>(k)])
                return false;
        return true;
    };
    for (std::size_t i = 0; i < terms.size(); ++i) {
        const double s = terms[i].share;
        Eigen::VectorXd slope(m); // d logit share_i / d ln r_j
        for (std::size_t j = 0; j < terms.size(); ++j)
            slope[static_cast<Eigen::Index>(j)] =
                ((i == j ? 1.0 : 0.0) - terms[j].share) / (1.0 - s);
        const double half = t * std::sqrt(std::max(0.0, slope.dot(covariance * slope)));
        const double odds = s / (1.0 - s);
        FittedTerm f{.term = terms[i],
                     .share_low = 0.0,
                     .share_high = 1.0,
                     .time_low_s = terms[i].time_s,
                     .time_high_s = terms[i].time_s};
        if (determined(i)) {
            f.share_low = odds * std::exp(-half) / (1.0 + odds * std::exp(-half));
            f.share_high = odds * std::exp(half) / (1.0 + odds * std::exp(half));
        }
        out.push_back(f);
    }
    return out;
}

void put_fit(HistoryFit& out,
             std::span<const Coupon> coupons,
             const TimeWindow& window,
             const std::vector<PronyTerm>& prony) {
    out.elastic.curves = compare_curves(out.elastic.law, prony, coupons, out.elastic.damage);
    double squares = 0.0;
    for (const CurveFit& c : out.elastic.curves) {
        squares += c.rms_share * c.rms_share / static_cast<double>(out.elastic.curves.size());
        out.prony.largest_share = std::max(out.prony.largest_share, c.rms_share);
    }
    out.prony.rms_share = std::sqrt(squares);
    out.prony.instantaneous_modulus_Pa = initial_moduli(out.elastic.law).E0;
    out.prony.instantaneous_high_Pa = HUGE_VAL; // its interval is that of the law's parameters
    out.prony.scales.assign(coupons.size(), 1.0);
    out.prony.time_min_s = window.shortest_s;
    out.prony.time_max_s = window.longest_s;
    if (const double rest = long_term_share(prony); !prony.empty() && rest < 0.02)
        out.prony.notes.push_back(
            fmt::format("the histories show no plateau: the long-term share of {:.2g} is not "
                        "measured",
                        rest));
}

} // namespace

HistoryFit fit_histories(const LawCandidate& candidate,
                         std::span<const Coupon> coupons,
                         const FixedValues& fixed,
                         const HistoryFitOptions& options) {
    const double shear = rough_shear_modulus_Pa(coupons);
    const CandidateLaw law(candidate, fixed, shear);
    const TimeWindow window = time_window(coupons);
    const bool power_law = options.spectrum == SpectrumKind::PowerLaw;
    const std::vector<double> times = !options.times_s.empty() ? options.times_s
                                      : power_law ? power_law_times_s(window, options.most_terms)
                                                  : relaxation_times_s(window);
    std::vector<FitVariable> at_point = law.variables();
    if (candidate.damage) {
        const std::vector<FitVariable> three = damage_variables(shear);
        at_point.insert(at_point.end(), three.begin(), three.end());
    }
    const std::size_t p = at_point.size();
    const HistoryModel wide(law, candidate.damage, coupons, {SpectrumKind::Free, times},
                            options.weighting);
    const Eigen::Index n = row_count(coupons);
    CELLGRADE_CHECK(wide.timed_rows() >= static_cast<Eigen::Index>(p + times.size()) + 2,
                    "{}: {} rows of data for {} parameters and {} relaxation times",
                    candidate.name(), wide.timed_rows(), p, times.size());
    const LeastSquares first = least_squares(at_point, wide.projected(), wide.timed_rows(),
                                             p > 1 ? std::min(options.starts, 4) : 1);
    const Projection projection = wide.project(first.natural);
    CELLGRADE_CHECK(projection.moduli.size() > 0 && projection.moduli.sum() > 0.0,
                    "{}: no law of this kind comes near the histories", candidate.name());
    std::vector<Eigen::Index> used(times.size() + 1);
    std::iota(used.begin(), used.end(), 0);
    if (options.choose_terms && !power_law)
        used = chosen(projection, p, options.most_terms);
    std::vector<double> kept;
    for (std::size_t i = 1; i < used.size(); ++i)
        kept.push_back(times[static_cast<std::size_t>(used[i]) - 1]);
    const Eigen::VectorXd moduli = solved(triangle(projection), used);

    const RelaxationSpectrum spectrum(options.spectrum, kept);
    const HistoryModel model(law, candidate.damage, coupons, spectrum, options.weighting);
    const std::vector<FitVariable> variables =
        joint_variables(law, at_point, first.natural, spectrum, moduli, used);
    const LeastSquares best = least_squares(variables, model.joint(), n, power_law ? 3 : 1);
    HistoryFit out{.elastic = {.candidate = candidate, .law = model.law(best.natural)},
                   .prony = {}};
    ElasticFit& fit = out.elastic;
    for (const std::size_t place : law.places())
        fit.free_keys.emplace_back(law_values(fit.law)[place].key);
    if (candidate.damage)
        fit.free_keys.insert(fit.free_keys.end(), damage_keys.begin(), damage_keys.end());
    for (const std::string& key : spectrum.keys())
        fit.free_keys.push_back(key);
    const std::vector<Eigen::Index> ends = curve_ends(coupons);
    const FitIntervals intervals =
        fit_intervals(variables, fit.free_keys, best, ends, options.level);
    fit.values = values_of(law, fit.law, intervals);
    fit.damage = model.damage(best.natural);
    if (fit.damage)
        for (FittedValue& v : damage_values(*fit.damage, intervals, p - 3))
            fit.values.push_back(std::move(v));
    fit.correlation = intervals.correlation;
    fit.undetermined = intervals.undetermined;
    fit.aicc = corrected_information(best.sum_of_squares, n, best.natural.size());
    fit.starts = first.starts;
    fit.agreeing = first.agreeing;
    fit.autocorrelation = lag_one(best.residual, ends);
    const std::vector<PronyTerm> prony = model.terms(best.natural);
    const double freedom = std::max(1.0, static_cast<double>(n - best.natural.size()));
    out.prony.terms = terms_of(prony, spectrum.slopes(model.of_spectrum(best.natural)), p,
                               intervals, student_t_factor(options.level, freedom));
    put_fit(out, coupons, window, prony);
    return out;
}

} // namespace cellgrade
