// SPDX-License-Identifier: Apache-2.0
#include "meshes/density/rod_neighbours.hpp"

#include "meshes/catalogue/segments.hpp"

#include <Eigen/LU>

#include <algorithm>
#include <cmath>

namespace cellgrade {
namespace {

struct Placed {
    Vec3 from, along; ///< [m]
    Vec3 low, high;   ///< fractional box of the rounded rod
    double radius;    ///< scaled [m]
};

struct Hit {
    Index strut;
    Vec3i shift;
    double gap;
};

/// Whole numbers n for which [low, high] + n meets [other_low, other_high].
struct Shifts {
    int first = 0;
    int last = 0;
    Shifts(bool periodic, double low, double high, double other_low, double other_high) {
        if (periodic) {
            first = static_cast<int>(std::ceil(other_low - high));
            last = static_cast<int>(std::floor(other_high - low));
        } else if (low > other_high || high < other_low) {
            last = -1; // none
        }
    }
};

class Sweep {
public:
    Sweep(const StrutNet& net, double scale) : net_(net) {
        const Mat3 inverse = net.lattice.inverse();
        for (const NetStrut& strut : net.struts) {
            const Vec3 a = net.nodes[strut.a];
            const Vec3 b = end_b(net, strut);
            const double r = scale * strut.radius;
            const Vec3 margin = r * inverse.rowwise().norm();
            const Vec3 fa = inverse * a;
            const Vec3 fb = inverse * b;
            rods_.push_back({a, b - a, fa.cwiseMin(fb) - margin, fa.cwiseMax(fb) + margin, r});
            order_.push_back(static_cast<Index>(order_.size()));
            lowest_ = std::min(lowest_, rods_.back().low.z());
            highest_ = std::max(highest_, rods_.back().high.z());
            widest_ = std::max(widest_, rods_.back().high.z() - rods_.back().low.z());
        }
        std::sort(order_.begin(), order_.end(), [this](Index i, Index j) {
            const double a = rods_[i].low.z();
            const double b = rods_[j].low.z();
            return a != b ? a < b : i < j;
        });
    }

    std::vector<RodNeighbour> around(Index i) const {
        const Placed& rod = rods_[i];
        std::vector<Hit> hits;
        const Shifts z(net_.periodic[2], lowest_, highest_, rod.low.z(), rod.high.z());
        for (int n = z.first; n <= z.last; ++n)
            collect(i, n, hits);
        std::sort(hits.begin(), hits.end(), [](const Hit& a, const Hit& b) {
            if (a.strut != b.strut)
                return a.strut < b.strut;
            return std::lexicographical_compare(a.shift.data(), a.shift.data() + 3, b.shift.data(),
                                                b.shift.data() + 3);
        });
        std::vector<RodNeighbour> found;
        for (const Hit& hit : hits)
            found.push_back({hit.strut,
                             rods_[hit.strut].from + net_.lattice * hit.shift.cast<double>(),
                             rods_[hit.strut].along, hit.gap});
        return found;
    }

private:
    void collect(Index i, int n, std::vector<Hit>& hits) const {
        const Placed& rod = rods_[i];
        auto at = std::lower_bound(order_.begin(), order_.end(), rod.low.z() - n - widest_,
                                   [this](Index j, double z) { return rods_[j].low.z() < z; });
        for (; at != order_.end() && rods_[*at].low.z() + n <= rod.high.z(); ++at)
            if (rods_[*at].high.z() + n >= rod.low.z())
                collect_copies(i, *at, n, hits);
    }

    void collect_copies(Index i, Index j, int n, std::vector<Hit>& hits) const {
        const Placed& rod = rods_[i];
        const Placed& other = rods_[j];
        const auto shifts = [&](int k) {
            return Shifts(net_.periodic[k], other.low[k], other.high[k], rod.low[k], rod.high[k]);
        };
        const Shifts x = shifts(0);
        const Shifts y = shifts(1);
        for (int nx = x.first; nx <= x.last; ++nx)
            for (int ny = y.first; ny <= y.last; ++ny) {
                const Vec3i shift(nx, ny, n);
                if (i == j && shift == Vec3i::Zero())
                    continue;
                const Vec3 from = other.from + net_.lattice * shift.cast<double>();
                const double gap = segment_gap(rod.from, rod.along, from, other.along).distance;
                if (gap < rod.radius + other.radius)
                    hits.push_back({j, shift, gap});
            }
    }

    const StrutNet& net_;
    std::vector<Placed> rods_;
    std::vector<Index> order_; ///< by lower end along the third lattice vector
    double lowest_ = 1e300;
    double highest_ = -1e300;
    double widest_ = 0.0;
};

} // namespace

std::vector<std::vector<RodNeighbour>> rod_neighbours(const StrutNet& net, double scale) {
    const Sweep sweep(net, scale);
    std::vector<std::vector<RodNeighbour>> all;
    for (Index i = 0; i < static_cast<Index>(net.struts.size()); ++i)
        all.push_back(sweep.around(i));
    return all;
}

} // namespace cellgrade
