// SPDX-License-Identifier: Apache-2.0
#include "meshes/solids/strut_field.hpp"

#include "meshes/solids/plan_check.hpp"
#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {
namespace {

constexpr double most_buckets = 1e6;

double distance_to_axis(const Vec3& x, const Vec3& from, const Vec3& along, double inverse) {
    const Vec3 w = x - from;
    return (w - std::clamp(w.dot(along) * inverse, 0.0, 1.0) * along).norm();
}

} // namespace

StrutField::StrutField(const StrutCell& cell,
                       std::span<const double> ratios,
                       const LayerProfile& diameter,
                       const Plan& plan)
    : diameter_(diameter), plan_(plan), box_(cell.lattice.diagonal()),
      layer_height_(cell.lattice(2, 2)) {
    for (int a = 0; a < 3; ++a)
        box_[a] *= plan.tiles[a];
    const auto [least, most] = std::minmax_element(ratios.begin(), ratios.end());
    least_radius_ = 0.5 * diameter.least() * *least;
    largest_radius_ = 0.5 * diameter.most() * *most;
    edge_ = std::max(largest_radius_, std::cbrt(box_.prod() / most_buckets));
    cap_ = std::max(3.0 * plan.fillet_radius, edge_);
    for (int a = 0; a < 3; ++a)
        n_buckets_[a] = std::max(1, static_cast<int>(std::ceil(box_[a] / edge_)));
    place(cell, ratios);
    fill_buckets();
}

void StrutField::place(const StrutCell& cell, std::span<const double> ratios) {
    const Vec3 size = cell.lattice.diagonal();
    const double reach = largest_radius_ + cap_;
    for (std::size_t s = 0; s < cell.struts.size(); ++s) {
        const Strut& strut = cell.struts[s];
        const Vec3 a = size.cwiseProduct(cell.nodes[strut.a]);
        const Vec3 b = size.cwiseProduct(cell.nodes[strut.b] + strut.image_b.cast<double>());
        const Vec3 low = a.cwiseMin(b) - Vec3::Constant(reach);
        const Vec3 high = a.cwiseMax(b) + Vec3::Constant(reach);
        // all shifts by whole cells for which [low, high] meets the box
        const Vec3i first = (-high).cwiseQuotient(size).array().ceil().cast<int>();
        const Vec3i last = (box_ - low).cwiseQuotient(size).array().floor().cast<int>();
        for (int k = first.z(); k <= last.z(); ++k)
            for (int j = first.y(); j <= last.y(); ++j)
                for (int i = first.x(); i <= last.x(); ++i)
                    struts_.push_back({.from = a + size.cwiseProduct(Vec3(i, j, k)),
                                       .along = b - a,
                                       .inverse_squared = 1.0 / (b - a).squaredNorm(),
                                       .radius = 0.5 * ratios[s]});
    }
}

template <class Visit>
void StrutField::for_buckets_near(const PlacedStrut& strut, Visit visit) const {
    const Vec3 to = strut.from + strut.along;
    const double reach = largest_radius_ + cap_;
    const double half_diagonal = 0.5 * std::sqrt(3.0) * edge_;
    const Vec3 low = (strut.from.cwiseMin(to) - Vec3::Constant(reach)) / edge_;
    const Vec3 high = (strut.from.cwiseMax(to) + Vec3::Constant(reach)) / edge_;
    Vec3i first;
    Vec3i last;
    for (int a = 0; a < 3; ++a) {
        first[a] = std::max(0, static_cast<int>(std::floor(low[a])));
        last[a] = std::min(n_buckets_[a] - 1, static_cast<int>(std::floor(high[a])));
    }
    for (int k = first.z(); k <= last.z(); ++k)
        for (int j = first.y(); j <= last.y(); ++j)
            for (int i = first.x(); i <= last.x(); ++i) {
                const Vec3 middle = edge_ * (Vec3(i, j, k) + Vec3::Constant(0.5));
                if (distance_to_axis(middle, strut.from, strut.along, strut.inverse_squared) <=
                    reach + half_diagonal)
                    visit((static_cast<std::size_t>(k) * n_buckets_.y() + j) * n_buckets_.x() + i);
            }
}

void StrutField::fill_buckets() {
    const std::size_t n =
        static_cast<std::size_t>(n_buckets_.x()) * n_buckets_.y() * n_buckets_.z();
    first_in_.assign(n + 1, 0);
    std::size_t total = 0;
    for (const PlacedStrut& strut : struts_)
        for_buckets_near(strut, [&](std::size_t bucket) {
            ++first_in_[bucket + 1];
            ++total;
        });
    CELLGRADE_CHECK(total < static_cast<std::size_t>(no_index),
                    "the specimen has too many struts near one another to be made solid");
    for (std::size_t b = 0; b < n; ++b)
        first_in_[b + 1] += first_in_[b];
    listed_.resize(total);
    for (std::size_t b = 0; b < n && plan_.fillet_radius > 0.0; ++b)
        CELLGRADE_CHECK(first_in_[b + 1] - first_in_[b] <= static_cast<Index>(most_near),
                        "fillet radius {:.4g} mm reaches more than {} struts at once; take a "
                        "smaller one",
                        1e3 * plan_.fillet_radius, most_near);
    std::vector<Index> next(first_in_.begin(), first_in_.end() - 1);
    for (std::size_t s = 0; s < struts_.size(); ++s)
        for_buckets_near(struts_[s], [&](std::size_t bucket) {
            listed_[next[bucket]++] = static_cast<Index>(s);
        });
}

std::size_t StrutField::bucket_of(const Vec3& x) const noexcept {
    Vec3i at;
    for (int a = 0; a < 3; ++a)
        at[a] = std::clamp(static_cast<int>(x[a] / edge_), 0, n_buckets_[a] - 1);
    return (static_cast<std::size_t>(at.z()) * n_buckets_.y() + at.y()) * n_buckets_.x() + at.x();
}

NearSurface StrutField::nearest(const PlacedStrut& strut, const Vec3& x) const noexcept {
    const Vec3 w = x - strut.from;
    const double s = std::clamp(w.dot(strut.along) * strut.inverse_squared, 0.0, 1.0);
    const Vec3 away = w - s * strut.along;
    const double length = away.norm();
    const double z = strut.from.z() + s * strut.along.z();
    return {length > 0.0 ? Vec3(away / length) : Vec3(Vec3::UnitX()),
            length - strut.radius * diameter_.value(z / layer_height_)};
}

Vec3 StrutField::home(const Vec3& place) const noexcept {
    Vec3 x = place;
    for (int a = 0; a < 3; ++a)
        if (plan_.periodic[a])
            x[a] = wrapped(x[a], box_[a]);
    return x;
}

void StrutField::pieces(const Vec3& place, double within, std::vector<FieldPiece>& near) const {
    near.clear();
    const Vec3 x = home(place);
    const std::size_t bucket = bucket_of(x);
    double least = cap_;
    for (Index k = first_in_[bucket]; k < first_in_[bucket + 1]; ++k) {
        const NearSurface at = nearest(struts_[listed_[k]], x);
        near.push_back({at.distance, at.normal, listed_[k]});
        least = std::min(least, at.distance);
    }
    std::erase_if(near, [&](const FieldPiece& p) { return p.value > least + within; });
    std::sort(near.begin(), near.end(), [](const FieldPiece& p, const FieldPiece& q) {
        return p.value != q.value ? p.value < q.value : p.number < q.number;
    });
}

double StrutField::value(const Vec3& place) const noexcept {
    const Vec3 x = home(place);
    const double rho = plan_.fillet_radius;
    std::array<NearSurface, most_near> near;
    std::size_t n_near = 0;
    double least = cap_;
    const std::size_t bucket = bucket_of(x);
    for (Index k = first_in_[bucket]; k < first_in_[bucket + 1]; ++k) {
        const NearSurface at = nearest(struts_[listed_[k]], x);
        least = std::min(least, at.distance);
        if (at.distance < 3.0 * rho)
            near[n_near++] = {at.normal, at.distance};
    }
    const double inner = -0.5 * least_radius_;
    if (least >= rho || least <= inner)
        return least;
    const double filleted = rolling_ball_union(std::span(near).first(n_near), rho);
    const double share = least < 0.0 ? least / inner : 0.0;
    return (1.0 - share) * filleted + share * least;
}

} // namespace cellgrade
