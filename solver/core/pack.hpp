// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstring>
#include <experimental/simd>
#include <memory>
#include <utility>

/// One source for scalar and vector kernels: write the kernel on a type `S` and on the functions
/// below, instantiate it for `double` (the oracle) and for `Pack` (as wide as the machine).
///
/// Lane i of a Pack does what the scalar would do; results may differ in the last digits where the
/// compiler fuses multiply and add in one of them and not in the other. A lane's result does not
/// depend on its place or on its neighbours.
namespace cellgrade {

/// For the parts of a kernel: a part left as a call passes its vectors through memory (the beam
/// kernel is then 1.7 times slower).
#define CELLGRADE_INLINE [[gnu::always_inline]] inline

using Pack = std::experimental::native_simd<double>;

/// Elements one `S` carries.
template <class S>
inline constexpr int lanes_of = static_cast<int>(S::size());
template <>
inline constexpr int lanes_of<double> = 1;

template <class S>
[[nodiscard]] CELLGRADE_INLINE S load_lanes(const double* from) noexcept {
    if constexpr (lanes_of<S> == 1)
        return S(*from);
    else
        return S(from, std::experimental::vector_aligned);
}

template <class S>
CELLGRADE_INLINE void store_lanes(const S& value, double* to) noexcept {
    if constexpr (lanes_of<S> == 1)
        *to = static_cast<double>(value);
    else
        value.copy_to(to, std::experimental::vector_aligned);
}

/// a where the condition holds, b elsewhere; both are computed.
[[nodiscard]] CELLGRADE_INLINE double select(bool condition, double a, double b) noexcept {
    return condition ? a : b;
}
[[nodiscard]] CELLGRADE_INLINE Pack select(const Pack::mask_type& condition,
                                           const Pack& a,
                                           Pack b) noexcept {
    std::experimental::where(condition, b) = a;
    return b;
}

/// Bit i set where lane i holds.
[[nodiscard]] CELLGRADE_INLINE unsigned lane_bits(bool condition) noexcept {
    return condition ? 1U : 0U;
}
[[nodiscard]] CELLGRADE_INLINE unsigned lane_bits(const Pack::mask_type& condition) noexcept {
    if (std::experimental::none_of(condition)) // the usual case
        return 0U;
    unsigned bits = 0U;
    for (std::size_t i = 0; i < Pack::size(); ++i)
        bits |= condition[i] ? 1U << i : 0U;
    return bits;
}

/// Sum of the coefficients times powers of z, c[0] + c[1] z + ..., by pairs of pairs: as few
/// multiply-adds in a row as there are bits in N, where Horner's rule has N - 1. About 2 N flops.
/// Source: Estrin (1960), Proc. Western Joint Computing Conference 33.
template <class S, std::size_t N>
[[nodiscard]] CELLGRADE_INLINE S polynomial(const std::array<double, N>& c, const S& z) noexcept {
    std::array<S, (N + 1) / 2> part;
    for (std::size_t i = 0; i < N / 2; ++i)
        part[i] = z * c[2 * i + 1] + c[2 * i];
    if constexpr (N % 2 != 0)
        part[N / 2] = S(c[N - 1]);
    S power = z * z;
    for (std::size_t n = part.size(); n > 1; n = (n + 1) / 2) {
        for (std::size_t i = 0; i < n / 2; ++i)
            part[i] = part[2 * i] + part[2 * i + 1] * power;
        if (n % 2 != 0)
            part[n / 2] = part[n - 1];
        power = power * power;
    }
    return part[0];
}

namespace detail {

#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wpedantic"
using RawPack [[gnu::vector_size(sizeof(Pack))]] = double;
using HalfPack [[gnu::vector_size(32)]] = double;
#pragma GCC diagnostic pop

/// One exchange of a transpose by halves: blocks of `step` lanes change places between two rows.
template <int step, int... j>
CELLGRADE_INLINE void
exchange(RawPack& a, RawPack& b, std::integer_sequence<int, j...> lane) noexcept {
    constexpr int n = lane.size();
    const RawPack low = __builtin_shufflevector(a, b, ((j & step) != 0 ? n + j - step : j)...);
    const RawPack high = __builtin_shufflevector(a, b, ((j & step) != 0 ? n + j : j + step)...);
    a = low;
    b = high;
}

template <int step>
CELLGRADE_INLINE void transpose_from(std::array<RawPack, Pack::size()>& rows) noexcept {
    constexpr int n = lanes_of<Pack>;
    if constexpr (step < n) {
        for (int i = 0; i < n; ++i)
            if ((i & step) == 0)
                exchange<step>(rows[i], rows[i + step], std::make_integer_sequence<int, n>{});
        transpose_from<2 * step>(rows);
    }
}

/// Eight records as four rows of two halves, then a transpose of four inside each half.
template <class S, class Record>
[[nodiscard]] CELLGRADE_INLINE std::array<S, 4> load_quads_by_halves(Record&& record) noexcept {
    constexpr auto lane = std::make_integer_sequence<int, lanes_of<S>>{};
    std::array<RawPack, 4> rows;
    for (int i = 0; i < 4; ++i) {
        HalfPack low, high;
        std::memcpy(&low, std::assume_aligned<32>(record(i)), sizeof low);
        std::memcpy(&high, std::assume_aligned<32>(record(i + 4)), sizeof high);
        rows[i] = __builtin_shufflevector(low, high, 0, 1, 2, 3, 4, 5, 6, 7);
    }
    exchange<1>(rows[0], rows[1], lane);
    exchange<1>(rows[2], rows[3], lane);
    exchange<2>(rows[0], rows[2], lane);
    exchange<2>(rows[1], rows[3], lane);
    std::array<S, 4> quad;
    for (int k = 0; k < 4; ++k)
        quad[k] = std::bit_cast<S>(rows[k]);
    return quad;
}

/// Adds a part of a row to four doubles.
CELLGRADE_INLINE void add_quad(double* to, const HalfPack& part) noexcept {
    HalfPack sum;
    std::memcpy(&sum, std::assume_aligned<32>(to), sizeof sum);
    sum += part;
    std::memcpy(std::assume_aligned<32>(to), &sum, sizeof sum);
}

} // namespace detail

/// Transposes a square of lanes in registers: rows become columns.
CELLGRADE_INLINE void transpose(std::array<Pack, Pack::size()>& square) noexcept {
    std::array<detail::RawPack, Pack::size()> rows;
    for (std::size_t i = 0; i < Pack::size(); ++i)
        rows[i] = std::bit_cast<detail::RawPack>(square[i]);
    detail::transpose_from<1>(rows);
    for (std::size_t i = 0; i < Pack::size(); ++i)
        square[i] = std::bit_cast<Pack>(rows[i]);
}

/// Four doubles of each lane's record, base[4 number[lane]] .. + 3, turned into lanes. Records are
/// 32-byte aligned. Meant for tables: one load a lane where a gather of single doubles takes four.
template <class S>
[[nodiscard]] CELLGRADE_INLINE std::array<S, 4> load_quads(const double* base,
                                                           const std::int32_t* number) noexcept {
    constexpr int width = lanes_of<S>;
    const auto record = [&](int lane) { return base + std::ptrdiff_t{4} * number[lane]; };
    std::array<S, 4> quad;
    if constexpr (width == 1) {
        for (int k = 0; k < 4; ++k)
            quad[k] = record(0)[k];
    } else if constexpr (width <= 4) {
        for (int part = 0; part < 4; part += width) {
            std::array<S, width> square;
            for (int i = 0; i < width; ++i)
                square[i] = load_lanes<S>(record(i) + part);
            transpose(square);
            for (int i = 0; i < width; ++i)
                quad[part + i] = square[i];
        }
    } else {
        static_assert(width == 8);
        quad = detail::load_quads_by_halves<S>(record);
    }
    return quad;
}

/// Writes the four values of each of the first `n_used` lanes to the four doubles at place(lane),
/// 32-byte aligned. The other way of load_quads().
template <class S, class Place>
CELLGRADE_INLINE void
store_quads(const std::array<S, 4>& quad, int n_used, Place&& place) noexcept {
    constexpr int width = lanes_of<S>;
    if constexpr (width >= 4) {
        constexpr auto lane = std::make_integer_sequence<int, width>{};
        std::array<detail::RawPack, 4> rows;
        for (int k = 0; k < 4; ++k)
            rows[k] = std::bit_cast<detail::RawPack>(quad[k]);
        detail::exchange<1>(rows[0], rows[1], lane);
        detail::exchange<1>(rows[2], rows[3], lane);
        detail::exchange<2>(rows[0], rows[2], lane);
        detail::exchange<2>(rows[1], rows[3], lane);
        alignas(64) double block[4][width]; // row r holds lanes r, r + 4, ...
        for (int r = 0; r < 4; ++r)
            std::memcpy(block[r], &rows[r], sizeof block[r]);
        for (int i = 0; i < std::min(width, n_used); ++i)
            std::memcpy(std::assume_aligned<32>(place(i)), &block[i % 4][i / 4 * 4], 32);
    } else {
        for (int i = 0; i < std::min(width, n_used); ++i)
            for (int k = 0; k < 4; ++k)
                if constexpr (width == 1)
                    place(i)[k] = quad[k];
                else
                    place(i)[k] = quad[k][i];
    }
}

/// Adds x, y, z and nothing of each of the first `n_used` lanes to the four doubles at place(lane),
/// 32-byte aligned, lane after lane: places may be the same.
template <class S, class Place>
CELLGRADE_INLINE void
add_triples(const S& x, const S& y, const S& z, int n_used, Place&& place) noexcept {
    constexpr int width = lanes_of<S>;
    if constexpr (width >= 4) {
        constexpr auto lane = std::make_integer_sequence<int, width>{};
        detail::RawPack r0 = std::bit_cast<detail::RawPack>(x);
        detail::RawPack r1 = std::bit_cast<detail::RawPack>(y);
        detail::RawPack r2 = std::bit_cast<detail::RawPack>(z);
        detail::RawPack r3{};
        detail::exchange<1>(r0, r1, lane);
        detail::exchange<1>(r2, r3, lane);
        detail::exchange<2>(r0, r2, lane);
        detail::exchange<2>(r1, r3, lane);
        const auto part = [&](const detail::RawPack& r, int i) __attribute__((always_inline)) {
            if constexpr (width == 4)
                return r;
            else if (i < 4)
                return __builtin_shufflevector(r, r, 0, 1, 2, 3);
            else
                return __builtin_shufflevector(r, r, 4, 5, 6, 7);
        };
        for (int i = 0; i < width; i += 4) {
            if (i < n_used)
                detail::add_quad(place(i), part(r0, i));
            if (i + 1 < n_used)
                detail::add_quad(place(i + 1), part(r1, i));
            if (i + 2 < n_used)
                detail::add_quad(place(i + 2), part(r2, i));
            if (i + 3 < n_used)
                detail::add_quad(place(i + 3), part(r3, i));
        }
    } else {
        for (int i = 0; i < std::min(width, n_used); ++i) {
            double* const to = place(i);
            if constexpr (width == 1) {
                to[0] += x, to[1] += y, to[2] += z;
            } else {
                to[0] += x[i], to[1] += y[i], to[2] += z[i];
            }
        }
    }
}

} // namespace cellgrade
