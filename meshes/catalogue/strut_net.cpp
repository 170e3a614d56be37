// SPDX-License-Identifier: Apache-2.0
#include "meshes/catalogue/strut_net.hpp"

#include "solver/core/error.hpp"

#include <Eigen/LU>

#include <algorithm>
#include <cmath>

namespace cellgrade {

Vec3 end_b(const StrutNet& net, const NetStrut& strut) {
    return net.nodes[strut.b] + net.lattice * strut.image_b.cast<double>();
}

double length(const StrutNet& net, const NetStrut& strut) {
    return (end_b(net, strut) - net.nodes[strut.a]).norm();
}

StrutNet periodic_net(const StrutCell& cell, std::span<const double> diameters) {
    CELLGRADE_CHECK(diameters.size() == cell.struts.size(),
                    "cell '{}' has {} struts, {} diameters are given", cell.name,
                    cell.struts.size(), diameters.size());
    StrutNet net{.lattice = cell.lattice, .periodic = {true, true, true}};
    for (const Vec3& node : cell.nodes)
        net.nodes.emplace_back(cell.lattice * node);
    net.is_cut.assign(cell.nodes.size(), false);
    for (std::size_t s = 0; s < cell.struts.size(); ++s) {
        CELLGRADE_CHECK(std::isfinite(diameters[s]) && diameters[s] > 0.0,
                        "strut {} of cell '{}' has diameter {} m; a number above 0 is needed", s,
                        cell.name, diameters[s]);
        const Strut& strut = cell.struts[s];
        net.struts.push_back({.a = strut.a,
                              .b = strut.b,
                              .image_b = strut.image_b,
                              .radius = 0.5 * diameters[s],
                              .whole_length = length(cell, strut)});
    }
    return net;
}

std::vector<double> strut_diameters(const StrutCell& cell, double largest) {
    CELLGRADE_CHECK(std::isfinite(largest) && largest > 0.0,
                    "strut diameter {} m is not allowed; a number above 0 is needed", largest);
    if (cell.diameters.empty())
        return std::vector<double>(cell.struts.size(), largest);
    std::vector<double> diameters = cell.diameters;
    const double factor = largest / *std::max_element(diameters.begin(), diameters.end());
    for (double& d : diameters)
        d *= factor;
    return diameters;
}

double cell_volume(const StrutCell& cell) {
    return std::abs(cell.lattice.determinant());
}

double length(const StrutCell& cell, const Strut& strut) {
    return (cell.lattice *
            (cell.nodes[strut.b] + strut.image_b.cast<double>() - cell.nodes[strut.a]))
        .norm();
}

} // namespace cellgrade
