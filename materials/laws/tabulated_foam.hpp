// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/laws/cubic_shear.hpp"
#include "materials/laws/point_law.hpp"
#include "materials/laws/principal_axes.hpp"
#include "materials/laws/rounded_line.hpp"
#include "materials/laws/volume.hpp"

#include <algorithm>
#include <array>

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
        const S y = closed_share(c, void_fraction);
        S power = y;
        for (int k = 1; k < static_cast<int>(exponent); ++k)
            power = power * y;
        return select(y < 1.0, modulus * power / (1.0 - y), past_closure<S>());
    }
    /// U [J/m^3].
    template <class S>
    [[nodiscard]] S energy(const S& c) const noexcept {
        const S y = closed_share(c, void_fraction);
        S power(1.0), rest = -lane::log1p(S(-y));
        for (int k = 1; k <= static_cast<int>(exponent); ++k) {
            power = power * y;
            rest = rest - (1.0 / k) * power;
        }
        return select(y < 1.0, modulus * void_fraction * rest, past_closure<S>());
    }
};

/// Foam whose answer to each principal stretch is a table, for homogenised grades, with shear of
/// the cell axes beside it.
///
///   W = sum_i w(1 - l_i) + (L/2) (J - 1)^2 + U(1 - J) + cubic      U: LateClosure
///   l_i dW/dl_i = -l_i p(1 - l_i) + J (L (J - 1) - dU/dc) + ...     p = w', cubic: CubicShear
///
/// p is a RoundedLine through the stresses s_k at the nominal strains k h. With L = 0 and an open
/// void a column crushed along an axis of the model does not grow wide, and its nominal stress is
/// p: the table is the crush curve. Without the shear tables the law is isotropic.
///
///   mu = m_0 / 2      kappa = m_0 / 3 + L      nu = L / (m_0 + 2 L)
///
/// hold along the axes; a shear of the axes themselves has m_0 / 2 + a'(0) (CubicShear).
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
/// to full closure of the void. About 1500 flops, with shear tables 2500.
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
    double shear_spacing;    ///< of the shear tables [-]; 0: none
    double open_shear_1;     ///< of CubicShear [Pa]
    double open_shear_2;
    double open_shear_3;
    double open_shear_4;
    double open_shear_5;
    double open_shear_6;
    double open_shear_7;
    double open_shear_8;
    double pressed_shear_1;
    double pressed_shear_2;
    double pressed_shear_3;
    double pressed_shear_4;
    double pressed_shear_5;
    double pressed_shear_6;
    double pressed_shear_7;
    double pressed_shear_8;
    double pressed_loss; ///< of volume [-]; 0: the open table alone

    static constexpr std::string_view kind = "tabulated_foam";
    /// shape() answers to volume too, and mean_stress() to nothing.
    static constexpr bool volume_in_shape = true;
    /// Of one shape() with all knots: values and axes, three roots, 3 x (4 + 23 x 9), closure.
    static constexpr double shape_flops = principal_flops + 130.0 + 3.0 * (4.0 + 23.0 * 9.0) + 40.0;
    static constexpr std::array<Parameter<TabulatedFoam>, 47> parameters() {
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
             {"void_fraction", &TabulatedFoam::void_fraction, 1.0, ParameterRange::Share},
             {"shear_knot_spacing", &TabulatedFoam::shear_spacing, 1.0, ParameterRange::Positive,
              Presence::Optional},
             {"instantaneous_open_shear_1_MPa", &TabulatedFoam::open_shear_1, 1e6,
              ParameterRange::NonZero, Presence::Optional},
             {"instantaneous_open_shear_2_MPa", &TabulatedFoam::open_shear_2, 1e6,
              ParameterRange::NonZero, Presence::Optional},
             {"instantaneous_open_shear_3_MPa", &TabulatedFoam::open_shear_3, 1e6,
              ParameterRange::NonZero, Presence::Optional},
             {"instantaneous_open_shear_4_MPa", &TabulatedFoam::open_shear_4, 1e6,
              ParameterRange::NonZero, Presence::Optional},
             {"instantaneous_open_shear_5_MPa", &TabulatedFoam::open_shear_5, 1e6,
              ParameterRange::NonZero, Presence::Optional},
             {"instantaneous_open_shear_6_MPa", &TabulatedFoam::open_shear_6, 1e6,
              ParameterRange::NonZero, Presence::Optional},
             {"instantaneous_open_shear_7_MPa", &TabulatedFoam::open_shear_7, 1e6,
              ParameterRange::NonZero, Presence::Optional},
             {"instantaneous_open_shear_8_MPa", &TabulatedFoam::open_shear_8, 1e6,
              ParameterRange::NonZero, Presence::Optional},
             {"instantaneous_pressed_shear_1_MPa", &TabulatedFoam::pressed_shear_1, 1e6,
              ParameterRange::NonZero, Presence::Optional},
             {"instantaneous_pressed_shear_2_MPa", &TabulatedFoam::pressed_shear_2, 1e6,
              ParameterRange::NonZero, Presence::Optional},
             {"instantaneous_pressed_shear_3_MPa", &TabulatedFoam::pressed_shear_3, 1e6,
              ParameterRange::NonZero, Presence::Optional},
             {"instantaneous_pressed_shear_4_MPa", &TabulatedFoam::pressed_shear_4, 1e6,
              ParameterRange::NonZero, Presence::Optional},
             {"instantaneous_pressed_shear_5_MPa", &TabulatedFoam::pressed_shear_5, 1e6,
              ParameterRange::NonZero, Presence::Optional},
             {"instantaneous_pressed_shear_6_MPa", &TabulatedFoam::pressed_shear_6, 1e6,
              ParameterRange::NonZero, Presence::Optional},
             {"instantaneous_pressed_shear_7_MPa", &TabulatedFoam::pressed_shear_7, 1e6,
              ParameterRange::NonZero, Presence::Optional},
             {"instantaneous_pressed_shear_8_MPa", &TabulatedFoam::pressed_shear_8, 1e6,
              ParameterRange::NonZero, Presence::Optional},
             {"pressed_volume_loss", &TabulatedFoam::pressed_loss, 1.0, ParameterRange::Share,
              Presence::Optional}}};
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
        const CubicShear shear = cubic_shear();
        const auto given = [](const CubicShear::Table& table) {
            return std::any_of(table.begin(), table.end(),
                               [](double stress) { return stress != 0.0; });
        };
        CELLGRADE_CHECK(shear.spacing > 0.0 || !(given(shear.open) || given(shear.pressed)),
                        "tabulated_foam law: the shear tables need shear_knot_spacing");
        CELLGRADE_CHECK(shear.pressed_loss > 0.0 || !given(shear.pressed),
                        "tabulated_foam law: instantaneous_pressed_shear needs "
                        "pressed_volume_loss");
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
    [[nodiscard]] CubicShear cubic_shear() const noexcept {
        return {shear_spacing,
                {open_shear_1, open_shear_2, open_shear_3, open_shear_4, open_shear_5, open_shear_6,
                 open_shear_7, open_shear_8},
                {pressed_shear_1, pressed_shear_2, pressed_shear_3, pressed_shear_4,
                 pressed_shear_5, pressed_shear_6, pressed_shear_7, pressed_shear_8},
                pressed_loss,
                void_fraction};
    }
    void set_cubic_shear(const CubicShear& shear) noexcept {
        const auto& all = parameters();
        shear_spacing = shear.spacing;
        pressed_loss = shear.pressed_loss;
        for (std::size_t k = 0; k < CubicShear::knots; ++k) {
            this->*all[first_shear_parameter + k].member = shear.open[k];
            this->*all[first_shear_parameter + CubicShear::knots + k].member = shear.pressed[k];
        }
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
        return table().value(e);
    }

    /// Left as a call: it is far longer than one.
    template <class S>
    [[nodiscard, gnu::noinline]] ShapeResponse<S> shape(const lane::Symmetric<S>& C,
                                                        const S& J) const noexcept {
        const PrincipalAxes<S> of = principal_axes(C);
        const RoundedLine<most_knots> p = table();
        S by_volume = side * (J - 1.0) - closure().slope(S(1.0 - J));
        CubicShear::Stress<S> shear{S(0.0), S(0.0), S(0.0), S(0.0)};
        if (shear_spacing > 0.0) {
            shear = cubic_shear().stress(C, J);
            by_volume += shear.by_volume;
        }
        const S on_volume = J * by_volume;
        const S x = lane::sqrt(of.value.x), y = lane::sqrt(of.value.y), z = lane::sqrt(of.value.z);
        const auto along = [&](const S& stretch, const S& squared) {
            return S((on_volume - stretch * p.value(S(1.0 - stretch))) / squared);
        };
        lane::Symmetric<S> stress =
            from_principal(of, along(x, of.value.x), along(y, of.value.y), along(z, of.value.z));
        stress.yz += shear.yz;
        stress.xz += shear.xz;
        stress.xy += shear.xy;
        return {stress, lane::scaled(S(1.0 / J), lane::adjugate(C)), J};
    }
    /// Of nothing: see above.
    template <class S>
    [[nodiscard]] CELLGRADE_INLINE S mean_stress(const S& volume) const noexcept {
        return 0.0 * volume;
    }
    template <class S>
    [[nodiscard]] S shape_energy(const lane::Symmetric<S>& C, const S& J) const noexcept {
        const PrincipalAxes<S> of = principal_axes(C);
        const RoundedLine<most_knots> p = table();
        const auto energy = [&](const S& squared) {
            return p.integral(S(1.0 - lane::sqrt(squared)));
        };
        S sum = energy(of.value.x) + energy(of.value.y) + energy(of.value.z) +
                0.5 * side * (J - 1.0) * (J - 1.0) + closure().energy(S(1.0 - J));
        if (shear_spacing > 0.0)
            sum += cubic_shear().energy(C, J);
        return sum;
    }
    template <class S>
    [[nodiscard]] S volume_energy(const S& volume) const noexcept {
        return 0.0 * volume;
    }
    /// What shear of the axes adds, at most, to the stiffness that the stretches have [Pa].
    [[nodiscard]] double axes_stiffness(const Mat3& C, double J) const noexcept {
        return shear_spacing > 0.0 ? cubic_shear().largest_stiffness(C, J) : 0.0;
    }

private:
    static constexpr std::size_t first_shear_parameter = 30;

    [[nodiscard]] double first_slope() const noexcept { return stress_01 / spacing; }
    [[nodiscard]] RoundedLine<most_knots> table() const noexcept {
        return {spacing, stresses(), knots()};
    }
};

} // namespace cellgrade
