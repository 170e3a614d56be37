// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/layers.hpp"

#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace cellgrade {

namespace {

/// The strain at which a held stress stands: the inverse of the largest stress so far. A stress
/// that is passed twice is there twice, before and after the strain jumps.
class StrainAtStress {
public:
    void add(double strain, double stress) {
        if (stress_.empty()) {
            stress_.push_back(stress);
            strain_.push_back(strain);
            last_stress_ = stress;
            last_strain_ = strain;
            return;
        }
        const double largest = stress_.back();
        if (stress > largest && last_stress_ < largest) { // it rises past it again, in this piece
            const double t = (largest - last_stress_) / (stress - last_stress_);
            stress_.push_back(largest);
            strain_.push_back(last_strain_ + t * (strain - last_strain_));
        }
        if (stress >= largest) {
            stress_.push_back(stress);
            strain_.push_back(strain);
        }
        last_stress_ = stress;
        last_strain_ = strain;
    }
    /// After the last point: what never rises again ends at the largest stress.
    void end(double strain) {
        if (strain_.back() < strain) {
            stress_.push_back(stress_.back());
            strain_.push_back(strain);
        }
    }
    [[nodiscard]] const std::vector<double>& stresses() const { return stress_; }
    /// Just before the stress is passed, and just after it.
    [[nodiscard]] double before(double stress) const {
        return at(stress, std::lower_bound(stress_.begin(), stress_.end(), stress));
    }
    [[nodiscard]] double after(double stress) const {
        return at(stress, std::upper_bound(stress_.begin(), stress_.end(), stress));
    }

private:
    [[nodiscard]] double at(double stress, std::vector<double>::const_iterator above) const {
        if (above == stress_.end())
            return strain_.back();
        const auto i = static_cast<std::size_t>(above - stress_.begin());
        if (i == 0 || stress_[i] == stress)
            return strain_[i];
        const double t = (stress - stress_[i - 1]) / (stress_[i] - stress_[i - 1]);
        return strain_[i - 1] + t * (strain_[i] - strain_[i - 1]);
    }

    std::vector<double> stress_, strain_;
    double last_stress_ = 0.0, last_strain_ = 0.0;
};

StrainAtStress loading_of(const GradeCurve& curve) {
    StrainAtStress inverse;
    for (std::size_t i = 0; i < curve.nominal_strain.size(); ++i)
        inverse.add(curve.nominal_strain[i], curve.nominal_stress_Pa[i]);
    inverse.end(curve.last_strain());
    return inverse;
}

StrainAtStress unloading_of(const GradeCurve& curve) {
    StrainAtStress inverse;
    for (std::size_t i = curve.unloading_strain.size(); i-- > 0;)
        inverse.add(curve.unloading_strain[i], std::max(curve.unloading_stress_Pa[i], 0.0));
    inverse.add(curve.last_strain(), curve.nominal_stress_Pa.back());
    inverse.end(curve.last_strain());
    return inverse;
}

struct Line {
    std::vector<double> strain, stress; ///< strain rises
};

Line summed(const std::vector<StrainAtStress>& layers, const std::vector<double>& shares) {
    std::vector<double> stresses;
    for (const StrainAtStress& layer : layers)
        stresses.insert(stresses.end(), layer.stresses().begin(), layer.stresses().end());
    std::sort(stresses.begin(), stresses.end());
    stresses.erase(std::unique(stresses.begin(), stresses.end()), stresses.end());
    Line line;
    const auto add = [&](double strain, double stress) {
        if (line.strain.empty() || strain > line.strain.back()) {
            line.strain.push_back(strain);
            line.stress.push_back(stress);
        } else {
            line.stress.back() = stress; // all layers are rigid here
        }
    };
    for (const double stress : stresses) {
        double before = 0.0, after = 0.0;
        for (std::size_t i = 0; i < layers.size(); ++i) {
            before += shares[i] * layers[i].before(stress);
            after += shares[i] * layers[i].after(stress);
        }
        add(before, stress);
        add(after, stress);
    }
    return line;
}

std::vector<double> scaled(std::vector<double> shares) {
    double sum = 0.0;
    for (const double share : shares) {
        CELLGRADE_CHECK(share > 0.0, "a layer's share of the thickness must be above 0, not {:g}",
                        share);
        sum += share;
    }
    for (double& share : shares)
        share /= sum;
    return shares;
}

} // namespace

GradeCurve in_series(const std::vector<GradeCurve>& curves, const std::vector<double>& shares) {
    CELLGRADE_CHECK(!curves.empty() && curves.size() == shares.size(),
                    "{} layers need as many shares of the thickness, not {}", curves.size(),
                    shares.size());
    const std::vector<double> w = scaled(shares);
    GradeCurve out = curves.front();
    std::vector<StrainAtStress> loading, unloading;
    bool unloads = true;
    out.relative_density = 0.0;
    for (std::size_t i = 0; i < curves.size(); ++i) {
        const GradeCurve& curve = curves[i];
        out.relative_density += w[i] * curve.relative_density;
        const auto worse = [](double& to, double share) { // one that is not known hides the other
            to = std::isnan(to) || std::isnan(share) ? GradeCurve::unknown : std::max(to, share);
        };
        worse(out.stress_uncertainty_share, curve.stress_uncertainty_share);
        worse(out.energy_uncertainty_share, curve.energy_uncertainty_share);
        loading.push_back(loading_of(curve));
        unloads = unloads && !curve.unloading_strain.empty();
    }
    const Line up = summed(loading, w);
    out.nominal_strain = up.strain;
    out.nominal_stress_Pa = up.stress;
    out.energy_J_per_m3.assign(up.strain.size(), 0.0);
    for (std::size_t i = 1; i < up.strain.size(); ++i)
        out.energy_J_per_m3[i] =
            out.energy_J_per_m3[i - 1] +
            0.5 * (up.stress[i] + up.stress[i - 1]) * (up.strain[i] - up.strain[i - 1]);
    out.unloading_strain.clear();
    out.unloading_stress_Pa.clear();
    if (!unloads)
        return out;
    for (const GradeCurve& curve : curves)
        unloading.push_back(unloading_of(curve));
    const Line back = summed(unloading, w);
    out.unloading_strain.assign(back.strain.rbegin(), back.strain.rend());
    out.unloading_stress_Pa.assign(back.stress.rbegin(), back.stress.rend());
    return out;
}

GradeResponse layered_response(const GradeCurves& curves,
                               const std::vector<PadLayer>& layers,
                               double temperature_C) {
    std::vector<std::vector<GradeCurve>> of_layers;
    std::vector<double> shares;
    for (const PadLayer& layer : layers) {
        of_layers.push_back(rated_curves(curves, layer.relative_density, temperature_C));
        shares.push_back(layer.thickness_share);
    }
    CELLGRADE_CHECK(!of_layers.empty(), "a pad needs a layer");
    if (of_layers.size() == 1)
        return GradeResponse(std::move(of_layers.front()));
    double known_to = std::numeric_limits<double>::infinity();
    for (const std::vector<GradeCurve>& layer : of_layers)
        for (const GradeCurve& curve : layer)
            known_to = std::min(known_to, *std::max_element(curve.nominal_stress_Pa.begin(),
                                                            curve.nominal_stress_Pa.end()));
    std::vector<GradeCurve> rated;
    for (std::size_t rate = 0; rate < of_layers.front().size(); ++rate) {
        std::vector<GradeCurve> at_rate;
        for (std::vector<GradeCurve>& layer : of_layers)
            at_rate.push_back(std::move(layer[rate]));
        rated.push_back(in_series(at_rate, shares));
    }
    return GradeResponse(std::move(rated), known_to);
}

} // namespace cellgrade
