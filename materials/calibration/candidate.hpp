// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/calibration/law_values.hpp"
#include "materials/calibration/least_squares.hpp"

#include <map>
#include <optional>
#include <string>
#include <vector>

namespace cellgrade {

/// A law to try: its kind, and for a law whose parameters come in numbered terms how many are used.
struct LawCandidate {
    std::string kind;
    int terms = 0;       ///< 0: all
    bool damage = false; ///< with damage of the first loading

    /// "yeoh", "ogden 3": as in a study file; "yeoh, damaged" with damage.
    [[nodiscard]] std::string name() const;
};

/// The candidate of a name; input Error that lists the known kinds when there is none.
[[nodiscard]] LawCandidate candidate_of(const std::string& name);

/// Every law of the registry that describes a solid polymer at large strain (with a bulk modulus;
/// "linear" is left out), each with 1 to all of its terms.
[[nodiscard]] std::vector<LawCandidate> all_candidates();

/// What is known beforehand and not fitted.
struct FixedValues {
    std::map<std::string, double, std::less<>> values; ///< SI, by the key of a card
    std::optional<double>
        poissons_ratio;            ///< at rest; gives the bulk modulus from the shear modulus
    bool fit_bulk_modulus = false; ///< there is a volumetric test
};

/// The law of a candidate as a function of its free parameters.
class CandidateLaw {
public:
    /// @param shear_Pa   rough shear modulus of the data, which sets the ranges of first guesses
    /// @throws Error (input) for a parameter that coupons cannot tell and that is not fixed
    CandidateLaw(const LawCandidate& candidate, const FixedValues& fixed, double shear_Pa);

    [[nodiscard]] const std::vector<FitVariable>& variables() const { return variables_; }
    /// Place among the law's parameters of each variable.
    [[nodiscard]] const std::vector<std::size_t>& places() const { return places_; }
    [[nodiscard]] AnyLaw law(const Eigen::VectorXd& natural) const;

private:
    AnyLaw law_;
    std::vector<double> values_; ///< fixed ones filled in
    std::vector<FitVariable> variables_;
    std::vector<std::size_t> places_;
    std::optional<std::size_t> bulk_place_; ///< of a bulk modulus that follows the shear modulus
    double bulk_per_shear_ = 0.0;
};

/// Where a parameter may lie and where its fit starts, by its key; laws without a line of their own
/// in the table get ranges by unit: a positive modulus from 0.05 to 2 times the shear modulus of
/// the data, another modulus within 0.3 of it, a positive number from 1 to 50, another number from
/// -4 to 6.
[[nodiscard]] FitVariable
start_range(std::string_view kind, const LawValue& parameter, double shear_Pa);

/// Number of the term a key belongs to ("..._mu2_MPa", "exponent_2": 2); 0 for a key without one.
[[nodiscard]] int term_of(std::string_view key);

} // namespace cellgrade
