// SPDX-License-Identifier: Apache-2.0
#include "solver/core/sha256.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <bit>

namespace cellgrade {

namespace {

// FIPS 180-4, 4.2.2: first 32 bits of the fractional parts of the cube roots of the first 64
// primes.
constexpr std::array<std::uint32_t, 64> round_constants{
    0x428a2f98, 0x71374491, 0xb5c0fbcf, 0xe9b5dba5, 0x3956c25b, 0x59f111f1, 0x923f82a4, 0xab1c5ed5,
    0xd807aa98, 0x12835b01, 0x243185be, 0x550c7dc3, 0x72be5d74, 0x80deb1fe, 0x9bdc06a7, 0xc19bf174,
    0xe49b69c1, 0xefbe4786, 0x0fc19dc6, 0x240ca1cc, 0x2de92c6f, 0x4a7484aa, 0x5cb0a9dc, 0x76f988da,
    0x983e5152, 0xa831c66d, 0xb00327c8, 0xbf597fc7, 0xc6e00bf3, 0xd5a79147, 0x06ca6351, 0x14292967,
    0x27b70a85, 0x2e1b2138, 0x4d2c6dfc, 0x53380d13, 0x650a7354, 0x766a0abb, 0x81c2c92e, 0x92722c85,
    0xa2bfe8a1, 0xa81a664b, 0xc24b8b70, 0xc76c51a3, 0xd192e819, 0xd6990624, 0xf40e3585, 0x106aa070,
    0x19a4c116, 0x1e376c08, 0x2748774c, 0x34b0bcb5, 0x391c0cb3, 0x4ed8aa4a, 0x5b9cca4f, 0x682e6ff3,
    0x748f82ee, 0x78a5636f, 0x84c87814, 0x8cc70208, 0x90befffa, 0xa4506ceb, 0xbef9a3f7, 0xc67178f2};

std::uint32_t big_endian_word(const std::byte* bytes) noexcept {
    std::uint32_t word = 0;
    for (int i = 0; i < 4; ++i)
        word = (word << 8) | std::to_integer<std::uint32_t>(bytes[i]);
    return word;
}

} // namespace

void Sha256::absorb(const std::byte* block) noexcept {
    std::array<std::uint32_t, 64> w{};
    for (std::size_t t = 0; t < 16; ++t)
        w[t] = big_endian_word(block + 4 * t);
    for (std::size_t t = 16; t < 64; ++t) {
        const std::uint32_t s0 =
            std::rotr(w[t - 15], 7) ^ std::rotr(w[t - 15], 18) ^ (w[t - 15] >> 3);
        const std::uint32_t s1 =
            std::rotr(w[t - 2], 17) ^ std::rotr(w[t - 2], 19) ^ (w[t - 2] >> 10);
        w[t] = w[t - 16] + s0 + w[t - 7] + s1;
    }
    auto [a, b, c, d, e, f, g, h] = state_;
    for (std::size_t t = 0; t < 64; ++t) {
        const std::uint32_t sum1 = std::rotr(e, 6) ^ std::rotr(e, 11) ^ std::rotr(e, 25);
        const std::uint32_t choose = (e & f) ^ (~e & g);
        const std::uint32_t t1 = h + sum1 + choose + round_constants[t] + w[t];
        const std::uint32_t sum0 = std::rotr(a, 2) ^ std::rotr(a, 13) ^ std::rotr(a, 22);
        const std::uint32_t majority = (a & b) ^ (a & c) ^ (b & c);
        h = g;
        g = f;
        f = e;
        e = d + t1;
        d = c;
        c = b;
        b = a;
        a = t1 + sum0 + majority;
    }
    const std::array<std::uint32_t, 8> change{a, b, c, d, e, f, g, h};
    for (std::size_t i = 0; i < 8; ++i)
        state_[i] += change[i];
}

void Sha256::add(std::span<const std::byte> bytes) noexcept {
    std::size_t filled = length_ % 64;
    length_ += bytes.size();
    while (!bytes.empty()) {
        if (filled == 0 && bytes.size() >= 64) {
            absorb(bytes.data());
            bytes = bytes.subspan(64);
            continue;
        }
        const std::size_t taken = std::min(64 - filled, bytes.size());
        std::copy_n(bytes.data(), taken, waiting_.data() + filled);
        bytes = bytes.subspan(taken);
        filled = (filled + taken) % 64;
        if (filled == 0)
            absorb(waiting_.data());
    }
}

void Sha256::add(std::string_view text) noexcept {
    add(std::as_bytes(std::span(text.data(), text.size())));
}

std::string Sha256::hex() const {
    // Padding, 5.1.1: one bit 1, zeros, the length in bits as 64-bit big-endian number.
    Sha256 last = *this;
    std::array<std::byte, 72> padding{std::byte{0x80}};
    const std::size_t zeros_end = (length_ % 64 < 56 ? 56 : 120) - length_ % 64;
    for (std::size_t i = 0; i < 8; ++i)
        padding[zeros_end + i] = static_cast<std::byte>(length_ * 8 >> (56 - 8 * i));
    last.add(std::span(padding).first(zeros_end + 8));
    std::string text;
    for (const std::uint32_t word : last.state_)
        text += fmt::format("{:08x}", word);
    return text;
}

std::string sha256_hex(std::string_view text) {
    Sha256 hash;
    hash.add(text);
    return hash.hex();
}

} // namespace cellgrade
