// SPDX-License-Identifier: Apache-2.0
#include "meshes/catalogue/sampled_field.hpp"

#include "solver/core/error.hpp"
#include "solver/core/keyed_file.hpp"

#include <charconv>
#include <cmath>
#include <memory>

namespace cellgrade {
namespace {

constexpr Index most_samples = 512; ///< along an axis

Error fault_at(const std::string& file, int line, const std::string& message) {
    return {Fault::Input, message, {.file = file, .line = line, .column = 1}};
}

void read_line(std::string_view line,
               const std::string& file,
               int number,
               std::vector<double>& values) {
    constexpr std::string_view between = ", \t\r;";
    std::size_t at = line.find_first_not_of(between);
    if (at == std::string_view::npos || line[at] == '#')
        return;
    while (at != std::string_view::npos) {
        const std::size_t end = std::min(line.find_first_of(between, at), line.size());
        const std::string_view word = line.substr(at, end - at);
        double value = 0.0;
        const auto [stop, fault] = std::from_chars(word.data(), word.data() + word.size(), value);
        if (fault != std::errc() || stop != word.data() + word.size() || !std::isfinite(value))
            throw fault_at(file, number,
                           fmt::format("'{}' is not a finite number", word.substr(0, 40)));
        values.push_back(value);
        at = line.find_first_not_of(between, end);
    }
}

/// Four neighbours along one axis and their weights.
struct Taps {
    std::array<Index, 4> at;
    std::array<double, 4> weight;

    Taps(double u, Index n) {
        const double x = (u - std::floor(u)) * n;
        const double cell = std::floor(x);
        const double t = x - cell;
        for (int k = 0; k < 4; ++k)
            at[k] = ((static_cast<Index>(cell) + k - 1) % n + n) % n;
        weight = {0.5 * t * (t * (2.0 - t) - 1.0), 0.5 * (t * t * (3.0 * t - 5.0) + 2.0),
                  0.5 * t * (t * (4.0 - 3.0 * t) + 1.0), 0.5 * t * t * (t - 1.0)};
    }
};

double value_at(const FieldSamples& s, const Vec3& u) {
    const Taps x(u.x(), s.counts[0]);
    const Taps y(u.y(), s.counts[1]);
    const Taps z(u.z(), s.counts[2]);
    double sum = 0.0;
    for (int k = 0; k < 4; ++k)
        for (int j = 0; j < 4; ++j) {
            const std::size_t row =
                (static_cast<std::size_t>(z.at[k]) * s.counts[1] + y.at[j]) * s.counts[0];
            double line = 0.0;
            for (int i = 0; i < 4; ++i)
                line += x.weight[i] * s.values[row + x.at[i]];
            sum += z.weight[k] * y.weight[j] * line;
        }
    return sum;
}

} // namespace

FieldSamples parse_field_samples(std::string_view text,
                                 const std::string& name,
                                 const std::array<Index, 3>& counts) {
    FieldSamples samples{.counts = counts};
    std::size_t wanted = 1;
    for (const Index n : counts) {
        CELLGRADE_CHECK(n >= 2 && n <= most_samples,
                        "{} samples along an axis is not allowed; 2 to {} is", n, most_samples);
        wanted *= static_cast<std::size_t>(n);
    }
    int line = 1;
    for (std::size_t at = 0; at < text.size(); ++line) {
        const std::size_t end = std::min(text.find('\n', at), text.size());
        read_line(text.substr(at, end - at), name, line, samples.values);
        if (samples.values.size() > wanted)
            throw fault_at(name, line,
                           fmt::format("more than the {} values that counts asks for "
                                       "are given",
                                       wanted));
        at = end + 1;
    }
    if (samples.values.size() != wanted)
        throw fault_at(name, line,
                       fmt::format("{} values are given, {} are needed: counts is {} x {} x {}",
                                   samples.values.size(), wanted, counts[0], counts[1], counts[2]));
    return samples;
}

FieldSamples read_field_samples(const std::filesystem::path& path,
                                const std::array<Index, 3>& counts) {
    return parse_field_samples(read_text_file(path), path.string(), counts);
}

PointField interpolated(FieldSamples samples) {
    const auto kept = std::make_shared<const FieldSamples>(std::move(samples));
    return [kept](std::span<const Vec3> points, std::span<double> values) {
        for (std::size_t k = 0; k < points.size(); ++k)
            values[k] = value_at(*kept, points[k]);
    };
}

} // namespace cellgrade
