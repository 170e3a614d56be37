// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/curve_branch.hpp"

#include "solver/homogenize/loading_branch.hpp"

#include <algorithm>

namespace cellgrade {

namespace {

constexpr double contact_lost = 1e-3; // share of the largest stress, as in the crush traits

/// First row past the largest strain. A platen that turns still goes on for a moment: the rows of
/// a crush that are counted as unloading may at first load further.
std::size_t turn_of(const CrushCurve& curve) {
    const auto first = curve.nominal_strain.begin();
    const auto top = std::max_element(first, curve.nominal_strain.end());
    return std::max(static_cast<std::size_t>(curve.turn),
                    static_cast<std::size_t>(top - first) + 1);
}

} // namespace

double CurveBranch::at(double x) const {
    const auto above = std::upper_bound(strain.begin(), strain.end(), x);
    if (above == strain.begin())
        return stress_Pa.front();
    if (above == strain.end())
        return stress_Pa.back();
    const auto i = static_cast<std::size_t>(above - strain.begin());
    const double t = (x - strain[i - 1]) / (strain[i] - strain[i - 1]);
    return (1.0 - t) * stress_Pa[i - 1] + t * stress_Pa[i];
}

CurveBranch loading_branch(const CrushCurve& curve) {
    CrushCurve turned = curve;
    if (!curve.nominal_strain.empty())
        turned.turn = static_cast<Index>(turn_of(curve));
    const LoadingBranch rows(turned);
    return {.strain = {rows.strain().begin(), rows.strain().end()},
            .stress_Pa = {rows.stress().begin(), rows.stress().end()}};
}

std::optional<CurveBranch> unloading_branch(const CrushCurve& curve) {
    const std::vector<double>&strain = curve.nominal_strain, &stress = curve.nominal_stress_Pa;
    if (curve.turn == 0 || static_cast<std::size_t>(curve.turn) >= strain.size())
        return std::nullopt;
    const std::size_t turn = turn_of(curve);
    const auto first = stress.begin(), end = first + static_cast<std::ptrdiff_t>(turn);
    const double free = contact_lost * *std::max_element(first, end);
    CurveBranch back{.strain = {strain[turn - 1]}, .stress_Pa = {stress[turn - 1]}};
    for (std::size_t i = turn; i < strain.size(); ++i) {
        if (strain[i] >= back.strain.back())
            continue;
        double x = strain[i], y = stress[i];
        if (y < 0.0 && back.stress_Pa.back() > 0.0) { // free where the line meets zero
            const double part = back.stress_Pa.back() / (back.stress_Pa.back() - y);
            x = back.strain.back() + part * (x - back.strain.back());
        }
        back.strain.push_back(x);
        back.stress_Pa.push_back(y <= free ? 0.0 : y);
        if (y > free)
            continue;
        if (x > 0.0) {
            back.strain.push_back(0.0);
            back.stress_Pa.push_back(0.0);
        }
        break;
    }
    if (back.strain.size() < 2)
        return std::nullopt;
    std::reverse(back.strain.begin(), back.strain.end());
    std::reverse(back.stress_Pa.begin(), back.stress_Pa.end());
    return back;
}

StrainRange common_range(const CurveBranch& a, const CurveBranch& b) {
    return {.from = std::max(a.strain.front(), b.strain.front()),
            .to = std::min(a.strain.back(), b.strain.back())};
}

std::vector<double> common_strains(const std::vector<const CurveBranch*>& branches,
                                   const StrainRange& range) {
    std::vector<double> strains{range.from, range.to};
    for (const CurveBranch* branch : branches)
        for (const double strain : branch->strain)
            if (strain > range.from && strain < range.to)
                strains.push_back(strain);
    std::sort(strains.begin(), strains.end());
    strains.erase(std::unique(strains.begin(), strains.end()), strains.end());
    return strains;
}

double area_under(const CurveBranch& branch, const StrainRange& range) {
    const std::vector<double> strains = common_strains({&branch}, range);
    double area = 0.0;
    for (std::size_t i = 1; i < strains.size(); ++i)
        area += 0.5 * (branch.at(strains[i - 1]) + branch.at(strains[i])) *
                (strains[i] - strains[i - 1]);
    return area;
}

double largest_stress(const CurveBranch& branch, const StrainRange& range) {
    double largest = branch.at(range.from);
    for (const double strain : common_strains({&branch}, range))
        largest = std::max(largest, branch.at(strain));
    return largest;
}

} // namespace cellgrade
