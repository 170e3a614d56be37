// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>

#include <functional>
#include <vector>

namespace cellgrade {

/// One unknown of a fit on its natural scale (the logarithm of a positive value, else the value
/// over a unit), kept between bounds.
struct FitVariable {
    enum class Scale { Log, Linear };

    Scale scale = Scale::Linear;
    double unit = 1.0;                        ///< Linear: size of a typical value, SI
    double low = 0.0, high = 1.0;             ///< bounds, SI
    double start_low = 0.0, start_high = 1.0; ///< range of first guesses, SI, inside the bounds

    [[nodiscard]] double natural(double value) const;
    [[nodiscard]] double value(double natural) const;
};

/// Residuals for values on the natural scale; a value that is not finite counts as a large misfit.
using Residuals = std::function<void(const Eigen::VectorXd& natural, Eigen::VectorXd& residual)>;

/// The least sum of squares found.
struct LeastSquares {
    Eigen::VectorXd natural;
    Eigen::VectorXd residual;
    Eigen::MatrixXd jacobian; ///< d residual / d natural, central differences
    double sum_of_squares = 0.0;
    int starts = 0;   ///< tried
    int agreeing = 0; ///< of these came within 1 % of the least sum of squares in 60 evaluations
};

/// Bounded least squares by Levenberg-Marquardt (the general library's translation of MINPACK) from
/// several first guesses.
///
/// A bound variable is x = low + (high - low)/(1 + e^-u) on the natural scale, u free. First
/// guesses are the best of a Halton sequence over the start ranges, so the answer is the same every
/// time. Source: More, Garbow & Hillstrom (1980), ANL-80-74; Halton (1960), Numer. Math. 2, 84.
/// @param n_residuals   at least the number of variables
/// @param starts        local searches, >= 1
[[nodiscard]] LeastSquares least_squares(const std::vector<FitVariable>& variables,
                                         const Residuals& residuals,
                                         Eigen::Index n_residuals,
                                         int starts);

/// Central differences of the residuals at a point on the natural scale.
[[nodiscard]] Eigen::MatrixXd
difference_jacobian(const Residuals& residuals, const Eigen::VectorXd& at, Eigen::Index n);

} // namespace cellgrade
