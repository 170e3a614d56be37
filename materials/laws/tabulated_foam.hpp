// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/laws/point_law.hpp"
#include "materials/laws/principal_axes.hpp"

#include <array>
#include <limits>

namespace cellgrade {

/// Energy that closes the void of a homogenised grade late and then without bound, against the
/// volume lost c.
///
///   y = c / v      dU/dc = D y^n / (1 - y)      U = D v (-ln(1 - y) - sum_(k=1..n) y^k / k)
///
/// for 0 < c < v; zero for c <= 0 and for v = 0; NaN past closure. n = 2 is VoidClosure. A lattice
/// is flat for most of the way, so its n is larger.
/// Source: the project's own choice, as VoidClosure (a logarithmic barrier without its first n
/// Taylor terms).
struct LateClosure {
    double modulus;       ///< D [Pa]
    double exponent;      ///< n, a whole number
    double void_fraction; ///< v [-]

    /// dU/dc [Pa].
    template <class S>
    [[nodiscard]] CELLGRADE_INLINE S slope(const S& c) const noexcept {
        const S y = closed(c);
        S power = y;
        for (int k = 1; k < static_cast<int>(exponent); ++k)
            power = power * y;
        return select(y < 1.0, modulus * power / (1.0 - y), never<S>());
    }
    /// U [J/m^3].
    template <class S>
    [[nodiscard]] S energy(const S& c) const noexcept {
        const S y = closed(c);
        S power(1.0), rest = -lane::log1p(S(-y));
        for (int k = 1; k <= static_cast<int>(exponent); ++k) {
            power = power * y;
            rest = rest - (1.0 / k) * power;
        }
        return select(y < 1.0, modulus * void_fraction * rest, never<S>());
    }

private:
    template <class S>
    [[nodiscard]] CELLGRADE_INLINE static S never() noexcept {
        return S(std::numeric_limits<double>::quiet_NaN());
    }
    /// Share of the void that is closed; 0 without void. NaN stays NaN.
    template <class S>
    [[nodiscard]] CELLGRADE_INLINE S closed(const S& c) const noexcept {
        const double per_void = void_fraction > 0.0 ? 1.0 / void_fraction : 0.0;
        return select(c <= 0.0, S(0.0), per_void * c);
    }
};

/// Foam whose answer to each principal stretch is a table, for homogenised grades.
///
///   W = sum_i w(1 - l_i) + (L/2) (J - 1)^2 + U(1 - J)      U: LateClosure
///   l_i dW/dl_i = -l_i p(1 - l_i) + J (L (J - 1) - dU/dc)     p = w'
///
///   p(e) = m_0 e + sum_k (m_k - m_(k-1)) R(e - k h)      m_k = (s_(k+1) - s_k) / h, s_0 = 0
///   R(x) = 0 | (x + h/2)^2 / (2 h) | x      below -h/2, between, above h/2
///
/// p is the line through the stresses s_k at the nominal strains k h, its corners rounded off over
/// h (a quadratic B-spline curve with that control polygon, so it rises where the s_k rise);
/// straight in tension with the slope at rest, and past the last knot. With L = 0 and an open void
/// a column is crushed without growing wide, and its nominal stress is p: the table is the crush
/// curve.
///
///   mu = m_0 / 2      kappa = m_0 / 3 + L      nu = L / (m_0 + 2 L)
///
/// **Stability.** W is convex in the stretches while the s_k rise and L >= 0. Under pressure that
/// is not enough: a column of zero slope and stress p buckles inside. Strong ellipticity on the
/// column, sides free, void open and L = 0, needs
///
///   p'(e) m_0 > (p / (1 + l))^2
///
/// (the last of the conditions of Simpson & Spector (1983), Arch. Ration. Mech. Anal. 84, 55, from
/// memory, for two stretches; worked out here), so a plateau must rise a little: fit_grade_law sees
/// to it. Where the table falls, shapes are not unique and bands form, element by element.
///
/// **The energy does not split**: all of it counts as shape, the closing void too, so that Prony
/// terms relax all stress alike. That is right for a grade: each stress of a lattice, contact
/// included, is that of its polymer.
///
/// Source: energy of functions of one stretch Valanis & Landel (1967), J. Appl. Phys. 38, 2997;
/// tables in such energies for foams and rubbers Kolling, Du Bois, Benson & Feng (2007), Comput.
/// Mech. 40, 885 (both from memory); the volume terms and the rounding are the project's own. Valid
/// to full closure of the void, for isotropic answers only. About 1500 flops.
struct TabulatedFoam : LawOfShape<TabulatedFoam> {
    static constexpr int most_knots = 24;

    double spacing;   ///< h, strain between knots [-]
    double stress_01; ///< at the knots [Pa], rising for a stable law; 0: no such knot
    double stress_02;
    double stress_03;
    double stress_04;
    double stress_05;
    double stress_06;
    double stress_07;
    double stress_08;
    double stress_09;
    double stress_10;
    double stress_11;
    double stress_12;
    double stress_13;
    double stress_14;
    double stress_15;
    double stress_16;
    double stress_17;
    double stress_18;
    double stress_19;
    double stress_20;
    double stress_21;
    double stress_22;
    double stress_23;
    double stress_24;
    double side;             ///< L, of the change of volume at rest; sets Poisson's ratio [Pa]
    double closing;          ///< D [Pa]
    double closing_exponent; ///< n
    double void_fraction;    ///< 1 - relative density [-]

    static constexpr std::string_view kind = "tabulated_foam";
    /// shape() answers to volume too, and mean_stress() to nothing.
    static constexpr bool volume_in_shape = true;
    /// Of one shape() with all knots: values and axes, three roots, 3 x (4 + 23 x 9), closure.
    static constexpr double shape_flops = principal_flops + 130.0 + 3.0 * (4.0 + 23.0 * 9.0) + 40.0;
    static constexpr std::array<Parameter<TabulatedFoam>, 29> parameters() {
        return {
            {{"knot_spacing", &TabulatedFoam::spacing, 1.0, ParameterRange::Positive},
             {"instantaneous_stress_01_MPa", &TabulatedFoam::stress_01, 1e6,
              ParameterRange::Positive},
             {"instantaneous_stress_02_MPa", &TabulatedFoam::stress_02, 1e6,
              ParameterRange::Positive},
             {"instantaneous_stress_03_MPa", &TabulatedFoam::stress_03, 1e6,
              ParameterRange::Positive, Presence::Optional},
             {"instantaneous_stress_04_MPa", &TabulatedFoam::stress_04, 1e6,
              ParameterRange::Positive, Presence::Optional},
             {"instantaneous_stress_05_MPa", &TabulatedFoam::stress_05, 1e6,
              ParameterRange::Positive, Presence::Optional},
             {"instantaneous_stress_06_MPa", &TabulatedFoam::stress_06, 1e6,
              ParameterRange::Positive, Presence::Optional},
             {"instantaneous_stress_07_MPa", &TabulatedFoam::stress_07, 1e6,
              ParameterRange::Positive, Presence::Optional},
             {"instantaneous_stress_08_MPa", &TabulatedFoam::stress_08, 1e6,
              ParameterRange::Positive, Presence::Optional},
             {"instantaneous_stress_09_MPa", &TabulatedFoam::stress_09, 1e6,
              ParameterRange::Positive, Presence::Optional},
             {"instantaneous_stress_10_MPa", &TabulatedFoam::stress_10, 1e6,
              ParameterRange::Positive, Presence::Optional},
             {"instantaneous_stress_11_MPa", &TabulatedFoam::stress_11, 1e6,
              ParameterRange::Positive, Presence::Optional},
             {"instantaneous_stress_12_MPa", &TabulatedFoam::stress_12, 1e6,
              ParameterRange::Positive, Presence::Optional},
             {"instantaneous_stress_13_MPa", &TabulatedFoam::stress_13, 1e6,
              ParameterRange::Positive, Presence::Optional},
             {"instantaneous_stress_14_MPa", &TabulatedFoam::stress_14, 1e6,
              ParameterRange::Positive, Presence::Optional},
             {"instantaneous_stress_15_MPa", &TabulatedFoam::stress_15, 1e6,
              ParameterRange::Positive, Presence::Optional},
             {"instantaneous_stress_16_MPa", &TabulatedFoam::stress_16, 1e6,
              ParameterRange::Positive, Presence::Optional},
             {"instantaneous_stress_17_MPa", &TabulatedFoam::stress_17, 1e6,
              ParameterRange::Positive, Presence::Optional},
             {"instantaneous_stress_18_MPa", &TabulatedFoam::stress_18, 1e6,
              ParameterRange::Positive, Presence::Optional},
             {"instantaneous_stress_19_MPa", &TabulatedFoam::stress_19, 1e6,
              ParameterRange::Positive, Presence::Optional},
             {"instantaneous_stress_20_MPa", &TabulatedFoam::stress_20, 1e6,
              ParameterRange::Positive, Presence::Optional},
             {"instantaneous_stress_21_MPa", &TabulatedFoam::stress_21, 1e6,
              ParameterRange::Positive, Presence::Optional},
             {"instantaneous_stress_22_MPa", &TabulatedFoam::stress_22, 1e6,
              ParameterRange::Positive, Presence::Optional},
             {"instantaneous_stress_23_MPa", &TabulatedFoam::stress_23, 1e6,
              ParameterRange::Positive, Presence::Optional},
             {"instantaneous_stress_24_MPa", &TabulatedFoam::stress_24, 1e6,
              ParameterRange::Positive, Presence::Optional},
             {"instantaneous_side_modulus_MPa", &TabulatedFoam::side, 1e6, ParameterRange::NonZero,
              Presence::Optional},
             {"instantaneous_closing_modulus_MPa", &TabulatedFoam::closing, 1e6,
              ParameterRange::Positive},
             {"closing_exponent", &TabulatedFoam::closing_exponent, 1.0, ParameterRange::Positive},
             {"void_fraction", &TabulatedFoam::void_fraction, 1.0, ParameterRange::Share}}};
    }
    void check() const {
        check_parameters(*this);
        const std::array<double, most_knots> s = stresses();
        for (int k = knots(); k < most_knots; ++k)
            CELLGRADE_CHECK(s[k] == 0.0,
                            "tabulated_foam law: instantaneous_stress_{:02d}_MPa is given without "
                            "instantaneous_stress_{:02d}_MPa before it",
                            k + 1, knots() + 1);
        CELLGRADE_CHECK(spacing * knots() < 1.0,
                        "tabulated_foam law: knot_spacing = {:.9g} puts knot {} at a strain of "
                        "{:.9g}; below 1 is needed",
                        spacing, knots(), spacing * knots());
        CELLGRADE_CHECK(closing_exponent >= 2.0 && closing_exponent <= 40.0 &&
                            closing_exponent == std::floor(closing_exponent),
                        "tabulated_foam law: closing_exponent = {:.9g} is not allowed; a whole "
                        "number from 2 to 40 is needed",
                        closing_exponent);
        CELLGRADE_CHECK(first_slope() / 3.0 + side > 0.0,
                        "tabulated_foam law: the bulk modulus at rest {:.9g} Pa (a third of the "
                        "first slope, and instantaneous_side_modulus_MPa) must be above 0",
                        first_slope() / 3.0 + side);
    }

    /// Knots that are given, without gap.
    [[nodiscard]] int knots() const noexcept {
        const std::array<double, most_knots> s = stresses();
        int n = 0;
        while (n < most_knots && s[n] != 0.0)
            ++n;
        return n;
    }
    [[nodiscard]] std::array<double, most_knots> stresses() const noexcept {
        return {stress_01, stress_02, stress_03, stress_04, stress_05, stress_06,
                stress_07, stress_08, stress_09, stress_10, stress_11, stress_12,
                stress_13, stress_14, stress_15, stress_16, stress_17, stress_18,
                stress_19, stress_20, stress_21, stress_22, stress_23, stress_24};
    }
    void set_stress(int knot, double stress) noexcept { // from 0
        this->*parameters()[static_cast<std::size_t>(1 + knot)].member = stress;
    }
    [[nodiscard]] LateClosure closure() const noexcept {
        return {closing, closing_exponent, void_fraction};
    }
    [[nodiscard]] InitialModuli initial_moduli() const {
        return moduli_from_shear_and_bulk(0.5 * first_slope(), first_slope() / 3.0 + side);
    }
    [[nodiscard]] double smallest_jacobian() const {
        return void_fraction > 0.0 ? 1.0 - void_fraction : 0.0;
    }

    /// p(e), on double or Pack [Pa].
    template <class S>
    [[nodiscard]] CELLGRADE_INLINE S table_stress(const S& e) const noexcept {
        const Kinks at = kinks();
        S sum = at.first_slope * e;
        for (int k = 0; k < at.n; ++k) {
            const Ramp<S> ramp(S(e - at.position[k]), spacing);
            sum += at.change[k] * ramp.value(spacing);
        }
        return sum;
    }

    /// Left as a call: it is far longer than one.
    template <class S>
    [[nodiscard, gnu::noinline]] ShapeResponse<S> shape(const lane::Symmetric<S>& C,
                                                        const S& J) const noexcept {
        const PrincipalAxes<S> of = principal_axes(C);
        const S on_volume = J * (side * (J - 1.0) - closure().slope(S(1.0 - J)));
        const S x = lane::sqrt(of.value.x), y = lane::sqrt(of.value.y), z = lane::sqrt(of.value.z);
        const auto along = [&](const S& stretch, const S& squared) {
            return S((on_volume - stretch * table_stress(S(1.0 - stretch))) / squared);
        };
        return {
            from_principal(of, along(x, of.value.x), along(y, of.value.y), along(z, of.value.z)),
            lane::scaled(S(1.0 / J), lane::adjugate(C)), J};
    }
    /// Of nothing: see above.
    template <class S>
    [[nodiscard]] CELLGRADE_INLINE S mean_stress(const S& volume) const noexcept {
        return 0.0 * volume;
    }
    template <class S>
    [[nodiscard]] S shape_energy(const lane::Symmetric<S>& C, const S& J) const noexcept {
        const PrincipalAxes<S> of = principal_axes(C);
        const Kinks at = kinks();
        const auto energy = [&](const S& squared) {
            const S e = 1.0 - lane::sqrt(squared);
            S sum = 0.5 * at.first_slope * e * e;
            for (int k = 0; k < at.n; ++k) {
                const Ramp<S> ramp(S(e - at.position[k]), spacing);
                sum += at.change[k] * ramp.integral(spacing);
            }
            return sum;
        };
        return energy(of.value.x) + energy(of.value.y) + energy(of.value.z) +
               0.5 * side * (J - 1.0) * (J - 1.0) + closure().energy(S(1.0 - J));
    }
    template <class S>
    [[nodiscard]] S volume_energy(const S& volume) const noexcept {
        return 0.0 * volume;
    }

private:
    /// R of above by the part that is rounded, t in 0..h, and what lies past it.
    template <class S>
    struct Ramp {
        S t, past;

        CELLGRADE_INLINE Ramp(const S& x, double h) noexcept
            : t(select(x > 0.5 * h, S(h), select(x < -0.5 * h, S(0.0), S(x + 0.5 * h)))),
              past(select(x > 0.5 * h, S(x - 0.5 * h), S(0.0))) {}
        [[nodiscard]] CELLGRADE_INLINE S value(double h) const noexcept {
            return (0.5 / h) * t * t + past;
        }
        [[nodiscard]] CELLGRADE_INLINE S integral(double h) const noexcept {
            return (1.0 / (6.0 * h)) * t * t * t + 0.5 * past * (h + past);
        }
    };
    /// Where the slope of the line through the knots changes, and by how much.
    struct Kinks {
        double first_slope;
        int n;
        std::array<double, most_knots> position, change;
    };
    [[nodiscard]] double first_slope() const noexcept { return stress_01 / spacing; }
    [[nodiscard]] Kinks kinks() const noexcept {
        const std::array<double, most_knots> s = stresses();
        Kinks at{.first_slope = first_slope(), .n = 0, .position = {}, .change = {}};
        double slope = at.first_slope;
        for (int k = 1; k < most_knots && s[k] != 0.0; ++k) {
            const double next = (s[k] - s[k - 1]) / spacing;
            at.position[at.n] = k * spacing;
            at.change[at.n++] = next - slope;
            slope = next;
        }
        return at;
    }
};

} // namespace cellgrade
