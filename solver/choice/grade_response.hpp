// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/choice/knot_finder.hpp"
#include "solver/grades/grade_curves.hpp"

#include <limits>
#include <string>
#include <vector>

namespace cellgrade {

/// Curves of a grade at every strain rate of a table and at three between each two, rising.
/// @throws Error (Input) outside the table's densities and temperatures (GradeCurves)
[[nodiscard]] std::vector<GradeCurve>
rated_curves(const GradeCurves& curves, double relative_density, double temperature_C);

/// Nominal stress of one grade at one temperature over strain and strain rate, there and back,
/// ready for many quick reads. Compression positive.
///
/// Loading: straight lines over strain and over the logarithm of the rate between its curves
/// (rated_curves()). Beyond the rates of the table its ends are held.
///
/// Return: the share of the loading stress that the unloading branch of the table keeps, over the
/// strain as a share of the largest,
///
///   h(x) = unloading stress(x e_turn) / loading stress(x e_turn),   0 <= h <= 1, h(1) = 1
///
/// so that a column which turned at e_m goes back along  stress = L(e) h(e / e_m)  (Foundation).
/// Tables turn at one strain; that h depends on e / e_m alone is assumed, as softening laws of the
/// Mullins kind scale the virgin stress (Ogden & Roxburgh 1999). The plateau stays, and no more is
/// given back than was put in. Against crushes that turn earlier, energy given back is up to 2 %
/// low (body-centred), 16 % low (Kelvin): impact_return_test.py.
///
/// Past the last strain e_l that all curves reach nothing is known. The column then stiffens,
///
///   stress = s_l + K w y / (1 - y),   y = (e - e_l) / w,   w = 1 - e_l,
///
/// straight on from y = 0.9, K being the slope over the last 0.02 of strain (at least s_l / w):
/// invented, so that a run has an end; what reaches it has bottomed and is no result.
class GradeResponse {
public:
    /// @param curves of rising strain rates, one temperature
    /// @param layers_known_to_Pa of a pad of layers: the largest stress at which each is still
    /// within its own curve
    explicit GradeResponse(std::vector<GradeCurve> curves,
                           double layers_known_to_Pa = std::numeric_limits<double>::infinity());
    /// Of rated_curves(). @throws as that
    GradeResponse(const GradeCurves& curves, double relative_density, double temperature_C);

    [[nodiscard]] double stress_Pa(double strain, double rate_per_s) const;
    /// h(x); 1 where the table does not unload.
    [[nodiscard]] double return_share(double relative_strain, double rate_per_s) const;

    [[nodiscard]] double last_strain() const { return strain_.back(); }
    [[nodiscard]] double layers_known_to_Pa() const { return layers_known_to_; }
    [[nodiscard]] bool unloads() const { return unloads_; }
    [[nodiscard]] double lowest_rate_per_s() const { return curves_.front().strain_rate_per_s; }
    [[nodiscard]] double highest_rate_per_s() const { return curves_.back().strain_rate_per_s; }
    /// Steepest slope of any curve [Pa].
    [[nodiscard]] double steepest_Pa() const { return steepest_; }
    /// Densification strain of the curve nearest to a rate; NaN where it shows none.
    [[nodiscard]] double densification_strain(double rate_per_s) const;
    /// The larger share of the standard uncertainties of plateau stress and energy, largest over
    /// the rates; NaN: not known.
    [[nodiscard]] double uncertainty_share() const { return doubt_; }

    /// All that stress_Pa() and return_share() read, for programs that draw on it elsewhere.
    struct Knots {
        std::vector<double> log_strain_rate; ///< natural logarithm, of 1/s; one a curve
        std::vector<double> strain;          ///< of all curves
        std::vector<std::vector<double>> stress_Pa;
        std::vector<double> last_slope_Pa;                       ///< K
        std::vector<std::vector<double>> return_x, return_share; ///< h; empty: no unloading
        std::vector<double> densification_strain;
        /// What stress_Pa() does not read but layers do: points of each curve past the last strain
        /// that all reach, and the strain at which each turns.
        std::vector<std::vector<double>> tail_strain, tail_stress_Pa;
        std::vector<double> turn_strain;
    };
    [[nodiscard]] Knots knots() const;

private:
    struct Between {
        std::size_t low = 0;
        double share = 0.0; ///< of the way to the next
    };
    [[nodiscard]] Between place_of_rate(double rate_per_s) const;
    [[nodiscard]] double beyond(double strain, const Between& rate) const;

    std::vector<GradeCurve> curves_; ///< strain rate rises
    std::vector<double> log_rate_;   ///< of the curves
    std::vector<double> strain_;     ///< of all of them, from 0
    KnotFinder strain_finder_;
    std::vector<std::vector<double>> stress_; ///< one row a curve
    std::vector<double> last_slope_;          ///< K of each curve
    struct ReturnShares {                     ///< h of one curve
        std::vector<double> x, share;         ///< x from 0 to 1
        KnotFinder finder;
        [[nodiscard]] double at(double relative_strain) const;
    };
    [[nodiscard]] static ReturnShares return_shares(const GradeCurve& curve);
    std::vector<ReturnShares> return_; ///< one a curve; empty: the table does not unload
    std::vector<double> densification_;
    bool unloads_ = true;
    double steepest_ = 0.0, doubt_ = 0.0, layers_known_to_;
};

} // namespace cellgrade
