// SPDX-License-Identifier: Apache-2.0
// Crush traits of curves whose traits follow by hand. Rows of the curves lie 5e-4 of strain apart;
// trapezoids then miss the integral of the parabola by 20 h^2 / 6 = 8e-7 MPa at most, and the
// strain grid of the traits (1e-3) costs less than 1e-5 of the maximum, so 1e-4 holds for every
// row.
#include "solver/cli/verify/verification_row.hpp"
#include "solver/homogenize/crush_traits.hpp"

#include <algorithm>
#include <string>
#include <utility>

namespace cellgrade {

namespace {

constexpr double MPa = 1e6;
constexpr double tolerance = 1e-4;

/// Elastic 10 e to 0.05, flat 0.5 to 0.6, then 0.5 + 20 (e - 0.6)^2 [MPa].
double plateau_stress(double e) {
    const double past = std::max(e - 0.6, 0.0);
    return MPa * (std::min(10.0 * e, 0.5) + 20.0 * past * past);
}

CrushCurve plateau_curve() {
    CrushCurve curve;
    for (int i = 0; i <= 1600; ++i) {
        curve.nominal_strain.push_back(i * 5e-4);
        curve.nominal_stress_Pa.push_back(plateau_stress(i * 5e-4));
    }
    curve.turn = static_cast<Index>(curve.nominal_strain.size());
    return curve;
}

/// Loads along 2 MPa x e to 0.5, returns along 4 MPa x (e - 0.25): half of the work comes back.
CrushCurve loop_curve() {
    CrushCurve curve;
    for (int i = 0; i <= 500; ++i) {
        curve.nominal_strain.push_back(i * 1e-3);
        curve.nominal_stress_Pa.push_back(2.0 * MPa * i * 1e-3);
    }
    curve.turn = static_cast<Index>(curve.nominal_strain.size());
    for (int i = 499; i >= 200; --i) {
        curve.nominal_strain.push_back(i * 1e-3);
        curve.nominal_stress_Pa.push_back(std::max(4.0 * MPa * (i * 1e-3 - 0.25), 0.0));
    }
    return curve;
}

class Rows {
public:
    void add(std::string id,
             std::string quantity,
             std::string unit,
             std::pair<double, double> ref_got,
             std::string source) {
        rows_.push_back(verification_row({.id = "traits/" + std::move(id),
                                          .quantity = std::move(quantity),
                                          .unit = std::move(unit),
                                          .reference = ref_got.first,
                                          .computed = ref_got.second,
                                          .tolerance = tolerance,
                                          .source = std::move(source)}));
    }
    [[nodiscard]] std::vector<VerificationRow> take() { return std::move(rows_); }

private:
    std::vector<VerificationRow> rows_;
};

const std::string iso = "ISO 13314:2011 (definition from memory), value by hand";

void add_plateau_rows(const CrushCurve& curve, const CrushTraits& t, Rows& rows) {
    rows.add("gradient", "quasi-elastic gradient", "Pa", {10.0 * MPa, t.quasi_elastic_gradient_Pa},
             iso);
    rows.add("collapse-stress", "collapse stress by 1 % offset", "Pa",
             {0.5 * MPa, t.collapse_stress_Pa}, "line 10 (e - 0.01) meets 0.5 MPa");
    rows.add("collapse-strain", "collapse strain by 1 % offset", "1", {0.06, t.collapse_strain},
             "line 10 (e - 0.01) meets 0.5 MPa");
    rows.add("plateau-stress", "mean stress over 20-40 % strain", "Pa",
             {0.5 * MPa, t.plateau_stress_Pa}, iso);
    rows.add("plateau-end", "strain at 1.3 x plateau stress", "1",
             {0.6866025, t.plateau_end_strain}, iso + ": 0.6 + sqrt(0.15/20)");
    rows.add("plateau-end-energy", "energy to the plateau end", "J/m^3",
             {0.3351314 * MPa, energy_per_volume(curve, t.plateau_end_strain)}, iso);
    rows.add("energy-50", "energy to 50 % strain", "J/m^3", {0.2375 * MPa, t.energy_to_50_J_per_m3},
             iso);
    rows.add("ideality-50", "W / (largest stress x strain) at 50 %", "1",
             {0.95, ideality_at(curve, 0.5)}, iso);
}

void add_efficiency_rows(const CrushCurve& curve, const CrushTraits& t, Rows& rows) {
    const std::string source = "Miltz & Gruenbaum (1981); Li, Magkiriadis & Harrigan (2006); root "
                               "of stress^2 = W dstress/de";
    rows.add("densification-strain", "last maximum of the efficiency", "1",
             {0.6217417, t.densification_strain}, source);
    rows.add("densification-stress", "stress there", "Pa",
             {0.5094541 * MPa, t.densification_stress_Pa}, source);
    rows.add("densification-energy", "energy to there", "J/m^3",
             {0.2984394 * MPa, t.energy_J_per_m3}, source);
    rows.add("efficiency", "W / stress there", "1", {0.5858023, t.efficiency}, source);
    rows.add("ideality", "W / (largest stress x strain) there", "1",
             {0.2984394 / (0.5094541 * 0.6217417), t.ideality}, source);
    rows.add("plateau-to-densification", "mean stress from 5 % to there", "Pa",
             {0.5001198 * MPa, mean_stress(curve, 0.05, t.densification_strain)}, source);
}

} // namespace

std::vector<VerificationRow> verify_traits() {
    Rows rows;
    const SpecimenMass mass{.relative_density = 0.2, .solid_density_kg_per_m3 = 1200.0};
    const CrushCurve curve = plateau_curve();
    const CrushTraits t = crush_traits(curve, mass);
    add_plateau_rows(curve, t, rows);
    add_efficiency_rows(curve, t, rows);
    rows.add("sea-50", "energy per mass at 50 % strain, density 240 kg/m^3", "J/kg",
             {989.5833, specific_energy(t.energy_to_50_J_per_m3, mass)}, "definition");
    rows.add("sea", "energy per mass at densification", "J/kg",
             {0.2984394 * MPa / 240.0, t.sea_J_per_kg}, "definition");
    const CrushTraits loop = crush_traits(loop_curve(), mass);
    rows.add("dissipated", "loop area / loading energy", "1", {0.5, loop.dissipated_fraction},
             "two triangles: (0.25 - 0.125) / 0.25");
    rows.add("residual", "strain where the unloading meets zero", "1", {0.25, loop.residual_strain},
             "4 MPa (e - 0.25)");
    return rows.take();
}

} // namespace cellgrade
