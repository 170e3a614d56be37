// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/cubic_shear_fit.hpp"

#include "materials/calibration/nnls.hpp"
#include "materials/laws/tabulated_foam.hpp"
#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

namespace cellgrade {

namespace {

constexpr int knots = CubicShear::knots;
constexpr int most_passes = 20, most_halvings = 6;
constexpr double pressed_from = 0.02;   // strain from which a test tells of the pressed grade
constexpr double least_rise = 0.02;     // of mean stress over largest shear
constexpr double least_fall = 0.05;     // of the mean stress, to speak of a curve that falls
constexpr double evenness = 1e-2;       // weight of neighbouring slopes being alike
constexpr double step_share = 1e-4;     // of the first slope, for differences
constexpr double settled = 1e-3;        // of the first slope, change of a pass
constexpr double unknown_slope = -0.25; // of the first slope, least where no row tells

/// Shear part of one test.
struct ShearRows {
    Eigen::VectorXd strain, stress; ///< strain: C_xz of the column
};

class Fit {
public:
    Fit(const PolymerCard& card, std::span<const TestRows> tests)
        : card_(card), tests_(tests), first_slope_(2.0 * initial_moduli(card.law).mu0) {
        double most = 0.0, pressed = 0.0;
        for (const TestRows& test : tests) {
            CELLGRADE_CHECK(test.path.size() > test.turn + 3, "a shear test has fewer than 4 rows");
            most = std::max(most, test.path.back().shear);
            pressed = std::max(pressed, test.path.back().strain);
            mean_.push_back(mean_stress(test));
        }
        shear_.spacing = most / knots;
        shear_.pressed_loss = pressed > pressed_from ? pressed : 0.0;
        shear_.closed_loss = void_fraction(card);
        slopes_ = Eigen::VectorXd::Zero(shear_.pressed_loss > 0.0 ? 2 * knots : knots);
    }

    CubicShear solve() {
        std::vector<ShearRows> now;
        if (!answers(slopes_, now))
            throw run_error("the law has no equilibrium on a shear test");
        for (int pass = 0; pass < most_passes; ++pass) {
            const Eigen::VectorXd target = next_slopes(now);
            double share = 1.0;
            std::vector<ShearRows> next;
            int halved = 0;
            while (!answers(slopes_ + share * (target - slopes_), next) && halved++ < most_halvings)
                share *= 0.5;
            if (next.size() < tests_.size())
                break;
            const double change = share * (target - slopes_).cwiseAbs().maxCoeff();
            slopes_ += share * (target - slopes_);
            now = std::move(next);
            if (change < settled * first_slope_)
                break;
        }
        return with(slopes_);
    }

private:
    [[nodiscard]] static double mean_stress(const TestRows& test) {
        double sum = 0.0;
        for (std::size_t i = test.turn; i < test.stress.size(); ++i)
            sum += std::abs(test.stress[i]);
        return std::max(sum / static_cast<double>(test.stress.size() - test.turn), 1e-300);
    }

    [[nodiscard]] CubicShear with(const Eigen::VectorXd& slopes) const {
        CubicShear shear = shear_;
        double open = 0.0, pressed = 0.0;
        for (int k = 0; k < knots; ++k) {
            shear.open[k] = open += shear.spacing * slopes[k];
            if (shear.pressed_loss > 0.0)
                shear.pressed[k] = pressed += shear.spacing * slopes[knots + k];
        }
        return shear;
    }

    /// Whether every test has an equilibrium all along; then `out` is whole.
    bool answers(const Eigen::VectorXd& slopes, std::vector<ShearRows>& out) const {
        PolymerCard card = card_;
        std::get<TabulatedFoam>(card.law).set_cubic_shear(with(slopes));
        out.clear();
        for (const TestRows& test : tests_) {
            const std::vector<ColumnAnswer> column = column_path(card, test.path);
            const auto n = static_cast<Eigen::Index>(test.path.size() - test.turn);
            ShearRows rows{Eigen::VectorXd(n), Eigen::VectorXd(n)};
            for (Eigen::Index i = 0; i < n; ++i) {
                const std::size_t at = test.turn + static_cast<std::size_t>(i);
                rows.strain[i] = test.path[at].shear * column[at].lateral;
                rows.stress[i] = column[at].shear_stress_Pa;
            }
            if (!rows.stress.allFinite()) {
                out.clear();
                return false;
            }
            out.push_back(std::move(rows));
        }
        return true;
    }

    /// The slopes below which the law would not rise enough, by what it does now.
    [[nodiscard]] Eigen::VectorXd least_slopes(const std::vector<ShearRows>& now) const {
        Eigen::VectorXd least =
            Eigen::VectorXd::Constant(slopes_.size(), unknown_slope * first_slope_);
        for (Eigen::Index i = 0; i < slopes_.size(); ++i) {
            const double from = static_cast<double>(i % knots) * shear_.spacing;
            const std::size_t test = nearest(i < knots ? 0.0 : shear_.pressed_loss);
            const auto rise = rise_over(now[test], from, from + shear_.spacing);
            if (!rise)
                continue;
            const double floor = least_rise * mean_[test] / (knots * shear_.spacing);
            least[i] = slopes_[i] - (*rise - floor);
        }
        return least;
    }

    [[nodiscard]] std::size_t nearest(double pressed) const {
        std::size_t best = 0;
        for (std::size_t t = 1; t < tests_.size(); ++t)
            if (std::abs(tests_[t].path.back().strain - pressed) <
                std::abs(tests_[best].path.back().strain - pressed))
                best = t;
        return best;
    }

    /// Least slope of stress over strain, over quarters of the way between two strains.
    [[nodiscard]] static std::optional<double>
    rise_over(const ShearRows& rows, double from, double to) {
        std::optional<double> least;
        const double quarter = 0.25 * (to - from);
        Eigen::Index i = 0;
        for (Eigen::Index j = 0; j < rows.strain.size() && rows.strain[j] <= to; ++j) {
            while (rows.strain[i] < from && i < j)
                ++i;
            while (i < j && rows.strain[j] - rows.strain[i + 1] >= quarter)
                ++i;
            const double way = rows.strain[j] - rows.strain[i];
            if (rows.strain[i] < from || way < quarter)
                continue;
            const double rise = (rows.stress[j] - rows.stress[i]) / way;
            least = std::min(rise, least.value_or(rise));
        }
        return least;
    }

    [[nodiscard]] Eigen::VectorXd next_slopes(const std::vector<ShearRows>& now) const {
        const Eigen::Index n = slopes_.size();
        Eigen::Index data = 0;
        for (const ShearRows& rows : now)
            data += rows.stress.size();
        Eigen::MatrixXd A = Eigen::MatrixXd::Zero(data + n, n);
        Eigen::VectorXd b = Eigen::VectorXd::Zero(data + n);
        const double step = step_share * first_slope_;
        for (Eigen::Index k = 0; k < n; ++k) {
            std::vector<ShearRows> ahead;
            if (!answers(slopes_ + step * Eigen::VectorXd::Unit(n, k), ahead))
                continue;
            Eigen::Index row = 0;
            for (std::size_t t = 0; t < now.size(); ++t) {
                const Eigen::Index count = now[t].stress.size();
                A.col(k).segment(row, count) =
                    (ahead[t].stress - now[t].stress) / (step * mean_[t]);
                row += count;
            }
        }
        Eigen::Index row = 0;
        for (std::size_t t = 0; t < now.size(); ++t)
            for (Eigen::Index i = 0; i < now[t].stress.size(); ++i)
                b[row++] = (tests_[t].stress[tests_[t].turn + static_cast<std::size_t>(i)] -
                            now[t].stress[i]) /
                           mean_[t];
        b.head(data) += A.topRows(data) * slopes_;
        const double alike = evenness * std::sqrt(static_cast<double>(data)) / first_slope_;
        for (Eigen::Index k = 0; k + 1 < n; ++k)
            if (k + 1 != knots) {
                A(data + k, k) = -alike;
                A(data + k, k + 1) = alike;
            }
        const Eigen::VectorXd least = least_slopes(now);
        return least + non_negative_least_squares(A, b - A * least);
    }

    const PolymerCard& card_;
    std::span<const TestRows> tests_;
    double first_slope_;
    std::vector<double> mean_;
    CubicShear shear_{};
    Eigen::VectorXd slopes_;
};

bool falls(const TestRows& test) {
    double largest = 0.0, sum = 0.0;
    for (std::size_t i = test.turn; i < test.stress.size(); ++i)
        sum += test.stress[i];
    const double mean = sum / static_cast<double>(test.stress.size() - test.turn);
    for (std::size_t i = test.turn; i < test.stress.size(); ++i) {
        largest = std::max(largest, test.stress[i]);
        if (largest - test.stress[i] > least_fall * mean)
            return true;
    }
    return false;
}

} // namespace

CubicShearFit fit_cubic_shear(const PolymerCard& card, std::span<const TestRows> tests) {
    CubicShearFit out{.shear = Fit(card, tests).solve()};
    for (const TestRows& test : tests)
        out.falls.push_back(falls(test));
    return out;
}

} // namespace cellgrade
