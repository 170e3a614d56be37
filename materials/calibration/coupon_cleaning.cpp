// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/coupon_cleaning.hpp"

#include "materials/calibration/elastic_fit.hpp"
#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

Error coupon_error(const Coupon& c, const std::string& what) {
    return {Fault::Input, what, {.file = c.name}};
}

/// Rows of a coupon in the order of strain away from rest.
struct Row {
    double strain, stress, time; ///< strain away from rest, >= 0 along the loading
};

double loading_sign(const Coupon& c) {
    return c.mode == CouponMode::UniaxialCompression || c.mode == CouponMode::Volumetric ? -1.0
                                                                                         : 1.0;
}

std::vector<Row> rows_of(const Coupon& c) {
    const double rest = rest_stretch(c.mode), sign = loading_sign(c);
    std::vector<Row> rows;
    for (std::size_t i = 0; i < c.stretch.size(); ++i)
        rows.push_back({sign * (c.stretch[i] - rest), sign * c.stress_Pa[i],
                        c.time_s.empty() ? 0.0 : c.time_s[i]});
    return rows;
}

void put_rows(Coupon& c, const std::vector<Row>& rows) {
    const double rest = rest_stretch(c.mode), sign = loading_sign(c);
    const bool timed = !c.time_s.empty();
    c.stretch.clear();
    c.stress_Pa.clear();
    c.time_s.clear();
    for (const Row& r : rows) {
        c.stretch.push_back(rest + sign * r.strain);
        c.stress_Pa.push_back(sign * r.stress);
        if (timed)
            c.time_s.push_back(r.time);
    }
}

std::vector<Row> loading_branch(const Coupon& c, std::vector<std::string>& notes) {
    const std::vector<Row> all = rows_of(c);
    const auto peak = std::max_element(
        all.begin(), all.end(), [](const Row& a, const Row& b) { return a.strain < b.strain; });
    if (peak == all.begin() && all.size() > 1)
        throw coupon_error(c,
                           "the strain falls from its first row on; the loading must come first");
    std::vector<Row> kept;
    std::size_t back = 0, equal = 0;
    int here = 1; // rows of the same strain as the last kept one
    for (auto row = all.begin(); row != peak + 1; ++row) {
        if (kept.empty() || row->strain > kept.back().strain) {
            kept.push_back(*row);
            here = 1;
        } else if (row->strain == kept.back().strain) {
            ++here;
            ++equal;
            kept.back().stress += (row->stress - kept.back().stress) / here;
        } else {
            ++back;
        }
    }
    if (const auto after = all.end() - peak - 1; after > 0)
        notes.push_back(fmt::format("{} rows after the largest strain left out: unloading", after));
    if (back > 0)
        notes.push_back(fmt::format("{} rows in which the strain steps back left out", back));
    if (equal > 0)
        notes.push_back(fmt::format("{} rows of equal strain averaged", equal));
    return kept;
}

struct Line {
    double slope, foot; ///< stress = slope (strain - foot)
};

Line line_through(const std::vector<Row>& rows, std::size_t first, std::size_t count) {
    double x = 0.0, y = 0.0, xx = 0.0, xy = 0.0;
    const auto n = static_cast<double>(count);
    for (std::size_t i = first; i < first + count; ++i) {
        x += rows[i].strain / n;
        y += rows[i].stress / n;
    }
    for (std::size_t i = first; i < first + count; ++i) {
        xx += (rows[i].strain - x) * (rows[i].strain - x);
        xy += (rows[i].strain - x) * (rows[i].stress - y);
    }
    const double slope = xx > 0.0 ? xy / xx : 0.0;
    return {slope, slope > 0.0 ? x - y / slope : 0.0};
}

void remove_toe(std::vector<Row>& rows, std::vector<std::string>& notes) {
    std::size_t early = 0;
    while (early < rows.size() && rows[early].strain <= 0.05)
        ++early;
    if (early < 12)
        return;
    const std::size_t width = std::max<std::size_t>(4, early / 6);
    const double first_slope = line_through(rows, 0, width).slope;
    Line steepest{first_slope, 0.0};
    for (std::size_t i = 0; i + width <= early; ++i)
        if (const Line line = line_through(rows, i, width); line.slope > steepest.slope)
            steepest = line;
    if (!(first_slope < 0.6 * steepest.slope) || !(steepest.foot > 0.0))
        return;
    std::vector<Row> moved;
    for (const Row& row : rows)
        if (row.strain > steepest.foot)
            moved.push_back({row.strain - steepest.foot, row.stress, row.time});
    notes.push_back(fmt::format("toe: strain counted from {:.4g}, {} rows before it left out",
                                steepest.foot, rows.size() - moved.size()));
    rows = std::move(moved);
}

void average(std::vector<Row>& rows, std::vector<std::string>& notes) {
    if (rows.size() <= 300)
        return;
    constexpr double bins = 150.0;
    const double low = rows.front().strain, step = (rows.back().strain - low) / bins;
    std::vector<Row> means;
    for (std::size_t i = 0; i < rows.size();) {
        Row sum{0.0, 0.0, 0.0};
        double count = 0.0;
        const double bin = std::floor((rows[i].strain - low) / step);
        for (; i < rows.size() && std::floor((rows[i].strain - low) / step) <= bin; ++i) {
            sum.strain += rows[i].strain;
            sum.stress += rows[i].stress;
            sum.time += rows[i].time;
            count += 1.0;
        }
        means.push_back({sum.strain / count, sum.stress / count, sum.time / count});
    }
    notes.push_back(
        fmt::format("{} rows averaged into {} steps of strain", rows.size(), means.size()));
    rows = std::move(means);
}

void set_times(std::vector<Row>& rows, Coupon& c) {
    if (!c.time_s.empty()) {
        const double start = rows.front().time;
        // The first row is some way into the loading; its speed tells when that began.
        const double speed =
            (rows.back().strain - rows.front().strain) / (rows.back().time - start);
        for (std::size_t i = 1; i < rows.size(); ++i)
            if (!(rows[i].time > rows[i - 1].time))
                throw coupon_error(c, "the time does not grow from row to row of the loading");
        const double lead = rows.front().strain / speed;
        for (Row& row : rows)
            row.time += lead - start;
        if (!c.rate_per_s) {
            c.rate_per_s = speed;
            c.notes.push_back(fmt::format("mean strain rate from the times: {:.3g} 1/s", speed));
        }
        return;
    }
    if (!c.rate_per_s)
        return;
    for (Row& row : rows)
        row.time = row.strain / *c.rate_per_s;
    c.time_s.assign(1, 0.0); // put_rows then keeps the times
}

} // namespace

void refuse_implausible(const Coupon& c) {
    const double slope = first_slope_Pa(c);
    const double low = c.mode == CouponMode::Volumetric ? 1e6 : 1e4, high = 2e10;
    if (slope >= low && slope <= high)
        return;
    if (!(slope > 0.0))
        throw coupon_error(c,
                           "the stress falls as the strain grows from rest; are columns swapped, "
                           "or the mode wrong?");
    throw coupon_error(
        c, fmt::format("the curve starts with a slope of {:.3g} MPa, which no polymer has ({:g} to "
                       "{:g} MPa are possible): {}",
                       slope / 1e6, low / 1e6, high / 1e6,
                       slope > high ? "are stresses in Pa or kPa under a header of MPa, or "
                                      "strains in fractions under _percent?"
                                    : "are stresses in MPa under a header of Pa, strains in per "
                                      "cent without _percent, or columns swapped?"));
}

void clean_coupon(Coupon& c, ToeRule toe) {
    std::vector<Row> rows = loading_branch(c, c.notes);
    if (toe == ToeRule::Remove && c.mode != CouponMode::Volumetric)
        remove_toe(rows, c.notes);
    // A row at rest tells no stress; times grow from it.
    std::erase_if(rows, [](const Row& row) { return row.strain <= 0.0; });
    if (rows.size() < 3)
        throw coupon_error(c, fmt::format("{} rows of loading; at least three beside the one at "
                                          "rest are needed",
                                          rows.size()));
    average(rows, c.notes);
    set_times(rows, c);
    put_rows(c, rows);
    refuse_implausible(c);
}

} // namespace cellgrade
