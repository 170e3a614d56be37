// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/candidate.hpp"

#include "solver/core/error.hpp"
#include "solver/core/suggest.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <charconv>

namespace cellgrade {

namespace {

/// First guesses of parameters whose usual size the unit does not tell.
struct StartRow {
    std::string_view kind, key_start; ///< key up to a term's number or its unit
    double low, high;                 ///< moduli: times the shear modulus of the data
};

// Fitted rubbers of the literature lie well inside (common practice, no source).
constexpr std::array<StartRow, 10> start_rows{{{"yeoh", "instantaneous_c10", 0.2, 1.0},
                                               {"yeoh", "instantaneous_c20", -0.1, 0.1},
                                               {"yeoh", "instantaneous_c30", -0.01, 0.02},
                                               {"mooney_rivlin", "instantaneous_c10", 0.05, 0.6},
                                               {"mooney_rivlin", "instantaneous_c01", -0.1, 0.2},
                                               {"arruda_boyce", "locking_stretch", 1.5, 8.0},
                                               {"ogden", "instantaneous_mu", -0.2, 1.0},
                                               {"ogden", "alpha", -4.0, 6.0},
                                               {"hill_foam", "instantaneous_mu", -0.2, 1.0},
                                               {"hill_foam", "alpha", -6.0, 12.0}}};

constexpr std::string_view bulk_key = "bulk_modulus_MPa";

bool is_modulus(std::string_view key) {
    return key.ends_with("Pa");
}

bool has_terms(const AnyLaw& law) {
    const auto values = law_values(law);
    return std::any_of(values.begin(), values.end(),
                       [](const LawValue& v) { return term_of(v.key) == 2; });
}

int most_terms(const AnyLaw& law) {
    int most = 0;
    for (const LawValue& v : law_values(law))
        most = std::max(most, term_of(v.key));
    return most;
}

bool has_bulk_modulus(const AnyLaw& law) {
    const auto values = law_values(law);
    return std::any_of(values.begin(), values.end(),
                       [](const LawValue& v) { return v.key == bulk_key; });
}

/// Parameters that no coupon test of this program tells.
bool must_be_given(const LawValue& parameter) {
    return parameter.range == ParameterRange::Share;
}

} // namespace

int term_of(std::string_view key) {
    for (std::size_t i = 0; i < key.size(); ++i) {
        const auto digit = [&](std::size_t k) {
            return k < key.size() && std::isdigit(static_cast<unsigned char>(key[k])) != 0;
        };
        if (digit(i) && !digit(i + 1) && (i == 0 || !digit(i - 1)))
            return key[i] - '0';
    }
    return 0;
}

std::string LawCandidate::name() const {
    return (terms > 0 ? fmt::format("{} {}", kind, terms) : kind) + (damage ? ", damaged" : "");
}

LawCandidate candidate_of(const std::string& name) {
    const std::size_t gap = name.find(' ');
    LawCandidate c{.kind = name.substr(0, gap)};
    const std::optional<AnyLaw> law = blank_law(c.kind);
    CELLGRADE_CHECK(law, "unknown law '{}'{}", c.kind, did_you_mean(c.kind, known_law_kinds()));
    const int most = has_terms(*law) ? most_terms(*law) : 0;
    c.terms = most;
    if (gap == std::string::npos)
        return c;
    const char* end = name.data() + name.size();
    const auto read = std::from_chars(name.data() + gap + 1, end, c.terms);
    CELLGRADE_CHECK(read.ec == std::errc() && read.ptr == end && c.terms >= 1 && c.terms <= most,
                    "law '{}': {}", name,
                    most > 0 ? fmt::format("1 to {} terms are possible", most)
                             : fmt::format("{} has no terms to choose", c.kind));
    return c;
}

std::vector<LawCandidate> all_candidates() {
    std::vector<LawCandidate> all;
    for (const std::string& kind : known_law_kinds()) {
        const AnyLaw law = *blank_law(kind);
        if (kind == LinearElastic::kind || !has_bulk_modulus(law))
            continue;
        if (!has_terms(law))
            all.push_back({kind});
        for (int n = 1; has_terms(law) && n <= most_terms(law); ++n)
            all.push_back({kind, n});
    }
    return all;
}

FitVariable start_range(std::string_view kind, const LawValue& p, double shear_Pa) {
    const double size = is_modulus(p.key) ? shear_Pa : 1.0;
    FitVariable v{.unit = size};
    const auto row = std::find_if(start_rows.begin(), start_rows.end(), [&](const StartRow& r) {
        return r.kind == kind && p.key.starts_with(r.key_start);
    });
    const bool known = row != start_rows.end();
    switch (p.range) {
    case ParameterRange::Positive:
        v.scale = FitVariable::Scale::Log;
        v.low = (is_modulus(p.key) ? 1e-4 : 1e-3) * size;
        v.high = (is_modulus(p.key) ? 1e3 : 1e4) * size;
        v.start_low = (known ? row->low : (is_modulus(p.key) ? 0.05 : 1.0)) * size;
        v.start_high = (known ? row->high : (is_modulus(p.key) ? 2.0 : 50.0)) * size;
        break;
    case ParameterRange::Poisson:
        v = {.low = 0.0, .high = 0.4999, .start_low = 0.3, .start_high = 0.49};
        break;
    case ParameterRange::Share:
        v = {.low = 0.0, .high = 0.99, .start_low = 0.01, .start_high = 0.3};
        break;
    default: // any number
        v.low = (is_modulus(p.key) ? -1e2 : -40.0) * size;
        v.high = -v.low;
        v.start_low = (known ? row->low : (is_modulus(p.key) ? -0.3 : -4.0)) * size;
        v.start_high = (known ? row->high : (is_modulus(p.key) ? 0.3 : 6.0)) * size;
        break;
    }
    if (p.key == bulk_key) {
        v.high = 1e5 * size;
        v.start_low = 2.0 * size;
        v.start_high = 1e3 * size;
    }
    return v;
}

CandidateLaw::CandidateLaw(const LawCandidate& candidate, const FixedValues& fixed, double shear_Pa)
    : law_(*blank_law(candidate.kind)) {
    const std::vector<LawValue> parameters = law_values(law_);
    const bool terms = has_terms(law_);
    for (std::size_t i = 0; i < parameters.size(); ++i) {
        const LawValue& p = parameters[i];
        values_.push_back(0.0);
        const auto given = fixed.values.find(p.key);
        if (given != fixed.values.end()) {
            values_[i] = given->second;
            continue;
        }
        if (terms && candidate.terms > 0 && term_of(p.key) > candidate.terms)
            continue; // a term that is not used stays 0
        if (p.key == bulk_key && !fixed.fit_bulk_modulus) {
            CELLGRADE_CHECK(fixed.poissons_ratio,
                            "fixed: no bulk modulus: without a volumetric test bulk_modulus_MPa "
                            "or poissons_ratio is needed (solid rubbers: 0.49 and above)");
            const double nu = *fixed.poissons_ratio;
            bulk_place_ = i;
            bulk_per_shear_ = 2.0 * (1.0 + nu) / (3.0 * (1.0 - 2.0 * nu));
            continue;
        }
        if (p.range == ParameterRange::Poisson && fixed.poissons_ratio) {
            values_[i] = *fixed.poissons_ratio;
            continue;
        }
        CELLGRADE_CHECK(!must_be_given(p),
                        "fixed: no {}: coupon tests cannot tell it, so it must be given", p.key);
        variables_.push_back(start_range(candidate.kind, p, shear_Pa));
        places_.push_back(i);
    }
}

AnyLaw CandidateLaw::law(const Eigen::VectorXd& natural) const {
    std::vector<double> values = values_;
    for (std::size_t k = 0; k < places_.size(); ++k)
        values[places_[k]] = variables_[k].value(natural[static_cast<Eigen::Index>(k)]);
    AnyLaw law = law_;
    set_law_values(law, values);
    if (bulk_place_) {
        // The shear modulus at rest does not hang on the bulk modulus; 1 stands in for it.
        values[*bulk_place_] = 1.0;
        set_law_values(law, values);
        values[*bulk_place_] = bulk_per_shear_ * initial_moduli(law).mu0;
        set_law_values(law, values);
    }
    return law;
}

} // namespace cellgrade
