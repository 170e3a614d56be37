// SPDX-License-Identifier: Apache-2.0
#include "meshes/beams/joint_zones.hpp"

#include <Eigen/Geometry>

#include <algorithm>
#include <cmath>

namespace cellgrade {
namespace {

constexpr double largest_share = 0.25;  ///< of the strut, so that half of it stays plain
constexpr double straight_sine = 0.087; ///< 5 degrees from straight on: no crotch to speak of

/// One strut as seen from a node.
struct Spoke {
    Index strut;
    std::size_t end;
    Vec3 away; ///< unit
    double radius;
};

std::vector<std::vector<Spoke>> spokes_of(const StrutNet& net) {
    std::vector<std::vector<Spoke>> spokes(net.nodes.size());
    for (std::size_t i = 0; i < net.struts.size(); ++i) {
        const NetStrut& strut = net.struts[i];
        const Vec3 t = (end_b(net, strut) - net.nodes[strut.a]).normalized();
        spokes[strut.a].push_back({static_cast<Index>(i), 0, t, strut.radius});
        spokes[strut.b].push_back({static_cast<Index>(i), 1, -t, strut.radius});
    }
    return spokes;
}

double parting_length(const Spoke& self, const Spoke& other) {
    const double cosine = self.away.dot(other.away);
    const double sine = self.away.cross(other.away).norm();
    if (cosine < 0.0 && sine < straight_sine)
        return 0.0;
    return std::max(0.0, (self.radius * cosine + other.radius) / std::max(sine, 1e-9));
}

} // namespace

std::vector<std::array<double, 2>> joint_zones(const StrutNet& net) {
    std::vector<std::array<double, 2>> zones(net.struts.size(), {0.0, 0.0});
    for (const std::vector<Spoke>& spokes : spokes_of(net))
        for (std::size_t i = 0; i < spokes.size(); ++i) {
            const Spoke& self = spokes[i];
            double& zone = zones[self.strut][self.end];
            for (std::size_t j = 0; j < spokes.size(); ++j)
                if (i != j)
                    zone = std::max(zone, parting_length(self, spokes[j]));
            zone = std::min(zone, largest_share * length(net, net.struts[self.strut]));
        }
    return zones;
}

} // namespace cellgrade
