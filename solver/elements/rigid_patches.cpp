// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/rigid_patches.hpp"

#include <cmath>
#include <map>

namespace cellgrade {

namespace {

/// Enough that the last level is small, few enough that the motions of a patch are nearly rigid.
constexpr std::size_t patch_size = 24;

/// Gram-Schmidt on the rigid motions of one patch about its first node; those of points on a line,
/// or held, fall out.
void set_basis(RigidPatches& patches,
               const std::vector<Index>& nodes,
               const std::vector<Vec3>& from_first,
               const std::vector<char>& held) {
    Eigen::MatrixXd modes(3 * nodes.size(), 6);
    for (std::size_t i = 0; i < nodes.size(); ++i)
        for (int axis = 0; axis < 3; ++axis) {
            const Vec3 unit = Vec3::Unit(axis);
            modes.col(axis).segment<3>(3 * i) = unit;
            modes.col(3 + axis).segment<3>(3 * i) = unit.cross(from_first[i]);
        }
    for (std::size_t i = 0; i < nodes.size(); ++i)
        for (int axis = 0; axis < 3; ++axis)
            if (held[3 * static_cast<std::size_t>(nodes[i]) + axis])
                modes.row(3 * i + axis).setZero();
    for (int m = 0; m < 6; ++m) {
        const double before = modes.col(m).norm();
        for (int round = 0; round < 2; ++round)
            for (int k = 0; k < m; ++k)
                modes.col(m) -= modes.col(k).dot(modes.col(m)) * modes.col(k);
        const double after = modes.col(m).norm();
        if (after > 1e-3 * before)
            modes.col(m) /= after;
        else
            modes.col(m).setZero();
    }
    for (std::size_t i = 0; i < nodes.size(); ++i)
        patches.basis[nodes[i]] = modes.middleRows<3>(3 * i);
}

} // namespace

RigidPatches rigid_patches(const NodeMatrix& A,
                           const std::vector<Vec3>& x,
                           const Vec3& box,
                           const std::vector<char>& held) {
    RigidPatches patches;
    patches.patch_of.assign(x.size(), no_index);
    patches.basis.assign(x.size(), RigidPatches::Basis::Zero());
    for (Index seed = 0; seed < A.rows(); ++seed) {
        if (patches.patch_of[seed] != no_index)
            continue;
        std::vector<Index> nodes{seed};
        std::vector<Vec3> from_first{Vec3::Zero()};
        patches.patch_of[seed] = patches.count();
        for (std::size_t i = 0; i < nodes.size(); ++i) // ring by ring
            for (std::size_t k = A.start[nodes[i]]; k < A.start[nodes[i] + 1]; ++k) {
                const Index n = A.column[k];
                if (nodes.size() >= patch_size || patches.patch_of[n] != no_index)
                    continue;
                Vec3 way = x[n] - x[nodes[i]];
                for (int axis = 0; axis < 3; ++axis)
                    if (std::isfinite(box[axis])) // the nearest image
                        way[axis] -= box[axis] * std::round(way[axis] / box[axis]);
                patches.patch_of[n] = patches.count();
                nodes.push_back(n);
                from_first.push_back(from_first[i] + way);
            }
        set_basis(patches, nodes, from_first, held);
        patches.nodes.push_back(std::move(nodes));
    }
    return patches;
}

std::vector<Eigen::Triplet<double>> patch_matrix(const NodeMatrix& A, const RigidPatches& patches) {
    using RowMajor = Eigen::Matrix<double, 3, 3, Eigen::RowMajor>;
    std::vector<Eigen::Triplet<double>> entries;
    for (Index p = 0; p < patches.count(); ++p) {
        std::map<Index, Mat6> row;
        for (const Index n : patches.nodes[p])
            for (std::size_t k = A.start[n]; k < A.start[n + 1]; ++k) {
                const Index other = patches.patch_of[A.column[k]];
                if (other > p)
                    continue;
                Mat6& sum = row.try_emplace(other, Mat6::Zero()).first->second;
                sum += patches.basis[n].transpose() *
                       Eigen::Map<const RowMajor>(A.block[k].data()) * patches.basis[A.column[k]];
            }
        for (int i = 0; i < 6; ++i)
            if (row[p](i, i) == 0.0)
                row[p](i, i) = 1.0;
        for (const auto& [other, block] : row)
            for (int i = 0; i < 6; ++i)
                for (int j = 0; j < (other == p ? i + 1 : 6); ++j)
                    entries.emplace_back(6 * p + i, 6 * other + j, block(i, j));
    }
    return entries;
}

} // namespace cellgrade
