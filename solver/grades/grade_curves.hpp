// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/grades/grade_curve.hpp"
#include "solver/grades/grade_table.hpp"

#include <array>
#include <string>
#include <vector>

namespace cellgrade {

/// Which rows of a table belong together.
struct GradeSelection {
    std::string cell;
    std::string polymer; ///< empty: the only one of the table
    std::array<Index, 3> direction{0, 0, 1};
    CaseLoad load = CaseLoad::Compression; ///< or Oblique; curves of sheared cases are refused
    double path_angle_deg = 0.0;
};

/// Where a curve is wanted. NaN: the only strain rate or temperature that the table has.
struct GradePoint {
    double relative_density = std::numeric_limits<double>::quiet_NaN();
    double strain_rate_per_s = std::numeric_limits<double>::quiet_NaN();
    double temperature_C = std::numeric_limits<double>::quiet_NaN();
};

enum class Extrapolation {
    Refuse,
    /// Past the densities of the table the power law of its end goes on; past its strain rates and
    /// temperatures the values of its end are held. The answer says so.
    Allow,
};

/// A number with its standard uncertainty (NaN: not known) and what of it was extrapolated.
struct GradeValue {
    double value = 0.0;
    double uncertainty = std::numeric_limits<double>::quiet_NaN();
    std::string extrapolated; ///< empty: inside the table
};

/// One trusted curve, ready for interpolation.
struct GradeNode {
    double relative_density = 0.0;
    double locking_strain = 1.0; ///< e_k, see GradeCurves; 1 without alignment
    std::vector<double> strain;  ///< loading, rising from 0
    std::vector<double> stress_Pa;
    std::vector<double> back_strain; ///< unloading, falling from the turn; empty: none
    std::vector<double> back_stress_Pa;
    double plateau_stress_Pa = std::numeric_limits<double>::quiet_NaN();
    double solid_density_kg_per_m3 = std::numeric_limits<double>::quiet_NaN(); ///< of the polymer
    double stress_share =
        std::numeric_limits<double>::quiet_NaN(); ///< uncertainty / plateau stress
    double energy_share = std::numeric_limits<double>::quiet_NaN(); ///< uncertainty / energy
};

/// The curves of one cell, polymer, direction and load between the densities, strain rates and
/// temperatures of a table.
///
/// Every curve gets a coordinate in which its densification lies at 1,
///
///   u = e / e_k for e < e_k,   1 + (e - e_k) / (1 - e_k) beyond,
///
/// e_k being the last strain at which its stress rises through k times its plateau stress; k is 5,
/// or less where a curve ends before, and below 2 there is no such alignment, u = e. At each u the
/// stresses go through
///
///   y = asinh(stress / (2 d)),   d = 1/1000 of the smallest plateau stress,
///
/// the logarithm of a stress that is not tiny, and y and e_k are interpolated by monotone_cubic()
/// over the logarithm of relative density, then over the logarithm of the strain rate, then over
/// temperature. At one u the stress of a grade so lies between those of its neighbours; where at
/// one u it rises with density, stress rises with strain, and e_k falls with density, stress rises
/// with density at every strain. A grade of the table gives back its own curve. A family
/// C density^n f(e) is met to a share of 3 (d / s)^2, s being the smallest stress of the neighbours
/// at the same u.
///
/// Unloading branches are interpolated alike over their own coordinate, (e - e_end) / (e_turn -
/// e_end). Uncertainties are interpolated linearly as shares of plateau stress and energy.
///
/// Valid for grades whose collapse changes gradually: where neighbours buckle in other patterns the
/// curve between them is not known by interpolation. The verification (grade_curves_test) leaves
/// out grades and compares.
class GradeCurves {
public:
    /// @throws Error (Input) when no trusted row is selected; the message lists what there is
    GradeCurves(const GradeTable& table, const GradeSelection& selection);

    /// Rows of the selection that are not used, each with its reason.
    [[nodiscard]] const std::vector<std::string>& left_out() const { return left_out_; }
    /// What the user should know about the alignment; empty when there is nothing.
    [[nodiscard]] const std::string& note() const { return note_; }
    [[nodiscard]] const GradeSelection& selection() const { return selection_; }

    /// Strain rates that lie inside the table at all its temperatures, rising.
    /// @throws Error (Input) when its temperatures have no range of rates in common
    [[nodiscard]] std::vector<double> strain_rates() const;
    /// Lowest and highest relative density that is inside the table at a rate and temperature.
    [[nodiscard]] std::array<double, 2> density_range(const GradePoint& at) const;
    /// The whole curve at a point.
    /// @throws Error (Input) outside the table unless extrapolation is allowed: one line with what
    ///         was asked for and what the table holds
    [[nodiscard]] GradeCurve curve_at(const GradePoint& at,
                                      Extrapolation outside = Extrapolation::Refuse) const;

    /// Nominal stress on loading [Pa].
    [[nodiscard]] GradeValue stress(double strain,
                                    const GradePoint& at,
                                    Extrapolation outside = Extrapolation::Refuse) const;
    /// Nominal stress on the way back [Pa].
    [[nodiscard]] GradeValue unloading_stress(double strain,
                                              const GradePoint& at,
                                              Extrapolation outside = Extrapolation::Refuse) const;
    /// Energy per volume up to a strain [J/m^3]: the integral of stress().
    [[nodiscard]] GradeValue energy(double strain,
                                    const GradePoint& at,
                                    Extrapolation outside = Extrapolation::Refuse) const;

private:
    struct Line { ///< grades of one strain rate and temperature
        double strain_rate_per_s = 0.0;
        std::vector<GradeNode> nodes; ///< density rises
    };
    struct Layer { ///< lines of one temperature
        double temperature_C = 0.0;
        std::vector<Line> lines; ///< strain rate rises
    };
    struct Use; ///< the part of the table that a point needs

    [[nodiscard]] bool add(const GradeRow& row);
    void align();
    [[nodiscard]] Use use_at(const GradePoint& at, Extrapolation outside) const;
    void add_loading(const Use& use, GradeCurve& curve) const;
    void add_unloading(const Use& use, GradeCurve& curve) const;
    [[nodiscard]] std::string place(const Layer& layer, const Line& line) const;

    GradeSelection selection_;
    std::vector<Layer> layers_; ///< temperature rises
    std::vector<std::string> left_out_;
    std::string note_;
    double soft_stress_Pa_ = 1.0; ///< d
};

} // namespace cellgrade
