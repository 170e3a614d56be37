// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/tet_stiffness.hpp"

#include "solver/elements/tet_point.hpp"

namespace cellgrade {

Mat30 tet_stiffness(const TetBlock& block, Index e) {
    const TetGroup& group = block.groups[e / group_lanes];
    const int lane = e % group_lanes;
    const InitialModuli moduli = initial_moduli(block.law);
    const auto column = [](const tet::Slopes& grad) { // a node's components one after another
        Eigen::Matrix<double, 30, 1> all;
        for (int a = 0; a < 10; ++a)
            all.segment<3>(3 * a) = grad.row(a).transpose();
        return all;
    };
    const tet::Slopes mean = tet_mean_gradients(group, lane);
    const Eigen::Matrix<double, 30, 1> by_volume = column(mean);
    Mat30 K = moduli.kappa0 * tet_volume(group, lane) * by_volume * by_volume.transpose();
    // where shape() answers to volume too, kappa acts at the points: V b b^T and the rest of it
    const double kappa_at_points =
        std::visit([]<class Law>(const Law&) { return volume_in_shape<Law>; }, block.law)
            ? moduli.kappa0
            : 0.0;
    for (int q = 0; q < 4; ++q) {
        // 2 mu dev(e) : dev(e') = mu (grad u : grad u' + grad u : grad u'^T) - 2/3 mu div div'
        const tet::Slopes grad = tet_gradients(group, lane, q);
        const double stiffness = moduli.mu0 * group.weight[q][lane];
        for (int a = 0; a < 10; ++a)
            for (int b = 0; b < 10; ++b) {
                const Vec3 Na = grad.row(a).transpose(), Nb = grad.row(b).transpose();
                K.block<3, 3>(3 * a, 3 * b) +=
                    stiffness * (Na.dot(Nb) * Mat3::Identity() + Nb * Na.transpose() -
                                 2.0 / 3.0 * Na * Nb.transpose());
            }
        const Eigen::Matrix<double, 30, 1> apart = column(grad - mean);
        const double variation =
            tet::variation_stiffness * stiffness + kappa_at_points * group.weight[q][lane];
        K += variation * apart * apart.transpose();
    }
    return K;
}

} // namespace cellgrade
