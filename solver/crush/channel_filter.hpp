// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>
#include <vector>

namespace cellgrade {

/// Low-pass of a channel frequency class: a Butterworth filter of two poles, run forwards and
/// backwards, so that it has four poles and shifts no phase.
///
///   y_i = a0 x_i + a1 x_(i-1) + a2 x_(i-2) + b1 y_(i-1) + b2 y_(i-2)
///   w_d = 2 pi 2.0775 CFC    w_a = tan(w_d T / 2)    n = 1 + sqrt(2) w_a + w_a^2
///   a0 = a2 = w_a^2/n   a1 = 2 a0   b1 = 2 (1 - w_a^2)/n   b2 = -(1 - sqrt(2) w_a + w_a^2)/n
///
/// Amplitude of a sine of frequency f afterwards: 1 / (1 + (tan(pi f T) / w_a)^4), about 0.95 at
/// the class and 0.71 at 1.65 times it. Before the first sample the signal is taken as 0 (nothing
/// touches), behind the last as the last.
///
/// Source: SAE J211-1, appendix C, and ISO 6487, annex A (both from memory).
/// @param interval_s T between samples, at most 1 / (10 CFC), as both standards ask for
/// @throws Error (Input) for a class or an interval that is not above 0, or too long an interval
[[nodiscard]] std::vector<double>
channel_filtered(std::span<const double> samples, double interval_s, double channel_class_Hz);

} // namespace cellgrade
