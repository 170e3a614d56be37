// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/calibration/history.hpp"
#include "materials/calibration/least_squares.hpp"
#include "materials/laws/prony.hpp"

#include <Eigen/Core>

#include <string>
#include <vector>

namespace cellgrade {

/// What ties the shares of Prony terms in a fit to histories together.
enum class SpectrumKind {
    Free,     ///< nothing: each branch has its own share
    PowerLaw, ///< share falls with a power of the time: two unknowns for all of them
};

/// Prony terms of given times as a function of the unknowns of a fit.
///
///   share_i = r_i/(1 + sum r)      long-term share = 1/(1 + sum r)
///   free       r_i = e^(u_i)
///   power law  r_i = R w_i/sum w,  w_i = time_i^(-n),  unknowns ln R and n
///
/// A test at one rate tells relaxation near its own duration only. A polymer relaxes over many
/// decades, and over a few of them its modulus falls about as a power of time; so a power law says
/// more about another rate than branches that are each fitted alone.
/// Source: power law of relaxation: Ferry (1980), Viscoelastic Properties of Polymers, ch. 3; that
/// it is taken a decade beyond the tests on both sides is common practice, no source.
class RelaxationSpectrum {
public:
    RelaxationSpectrum(SpectrumKind kind, std::vector<double> times_s);

    [[nodiscard]] const std::vector<double>& times_s() const { return times_s_; }
    [[nodiscard]] Eigen::Index n_unknowns() const;
    /// Names of the unknowns, as correlations list them.
    [[nodiscard]] std::vector<std::string> keys() const;
    /// Unknowns that start at branch moduli over the long-term one.
    [[nodiscard]] std::vector<FitVariable> variables(const std::vector<double>& ratios) const;
    /// @param unknowns   n_unknowns(), on the natural scale
    [[nodiscard]] std::vector<PronyTerm> terms(const Eigen::VectorXd& unknowns) const;
    /// d ln r_i / d unknown_k, a row a term.
    [[nodiscard]] Eigen::MatrixXd slopes(const Eigen::VectorXd& unknowns) const;

private:
    [[nodiscard]] Eigen::ArrayXd ratios(const Eigen::VectorXd& unknowns) const;

    SpectrumKind kind_;
    std::vector<double> times_s_;
};

/// A power law for tests that lie within a decade of rate, else free shares.
[[nodiscard]] SpectrumKind spectrum_of(const RateRange& tested);

/// Times of a power law: one a decade from a tenth of the window's shortest to ten times its
/// longest, at most so many; those furthest from the middle of the window go first.
[[nodiscard]] std::vector<double> power_law_times_s(const TimeWindow& window, int most_terms);

/// A variable that starts at one value, moved inside its bounds.
void start_at(FitVariable& variable, double value);

} // namespace cellgrade
