// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/error.hpp"
#include "solver/core/symmetric.hpp"
#include "solver/core/types.hpp"

#include <cmath>
#include <concepts>
#include <string_view>

namespace cellgrade {

/// Values a law parameter may take.
enum class ParameterRange {
    Any,      ///< any finite number
    NonZero,  ///< any finite number but 0
    Positive, ///< > 0
    Share,    ///< 0 <= x < 1
    Poisson,  ///< -1 < x < 0.5
};

/// Whether `value` is finite and inside `range`.
[[nodiscard]] inline bool inside(ParameterRange range, double value) {
    switch (range) {
    case ParameterRange::NonZero:
        return value != 0.0 && std::isfinite(value);
    case ParameterRange::Positive:
        return value > 0.0 && std::isfinite(value);
    case ParameterRange::Share:
        return value >= 0.0 && value < 1.0;
    case ParameterRange::Poisson:
        return value > -1.0 && value < 0.5;
    case ParameterRange::Any:
        break;
    }
    return std::isfinite(value);
}

/// What would be right, for error lines.
[[nodiscard]] std::string_view describe(ParameterRange range);

/// Whether a card must give a parameter. A sum of one to several terms has terms that a card leaves
/// out: an optional key that is absent is 0 in the law, and 0 is never written, so that card and
/// law say the same and no value of 0 asks for a source.
enum class Presence { Required, Optional };

/// One parameter of a law: its key in a card (the key ends in the unit), where it is kept, and the
/// factor from the key's unit to SI.
template <class Law>
struct Parameter {
    std::string_view key;
    double Law::*member;
    double to_SI;
    ParameterRange range;
    Presence presence = Presence::Required;
};

/// Whether the law's card has this parameter.
template <class Law>
[[nodiscard]] bool is_given(const Law& law, const Parameter<Law>& p) {
    return p.presence == Presence::Required || law.*p.member != 0.0;
}

/// Moduli of a law for F near I; of the instantaneous response when the law is viscous.
struct InitialModuli {
    double E0;     ///< Young's modulus [Pa]
    double nu0;    ///< Poisson's ratio [-]
    double mu0;    ///< shear modulus [Pa]
    double kappa0; ///< bulk modulus [Pa]
};

/// All four moduli from shear and bulk modulus [Pa].
[[nodiscard]] inline InitialModuli moduli_from_shear_and_bulk(double mu, double kappa) {
    return {.E0 = 9.0 * kappa * mu / (3.0 * kappa + mu),
            .nu0 = (3.0 * kappa - 2.0 * mu) / (2.0 * (3.0 * kappa + mu)),
            .mu0 = mu,
            .kappa0 = kappa};
}

/// 2nd Piola-Kirchhoff stress in the part that relaxes and the part that does not [Pa].
struct SplitStress {
    Mat3 isochoric;  ///< answers to change of shape; Prony terms act on it
    Mat3 volumetric; ///< answers to change of volume; elastic
};

/// What a law says of one shape, on a lane type S. Volume is a scalar measure of its own, so that
/// an element may average it before it asks for the mean stress:
///
///   S_vol = mean_stress(volume) * spread      spread = 2 d(volume)/dC
template <class S>
struct ShapeResponse {
    lane::Symmetric<S> isochoric; ///< 2nd Piola-Kirchhoff stress that relaxes [Pa]
    lane::Symmetric<S> spread;    ///< [-]
    S volume;                     ///< 1 at rest: J, or 1 + tr(U - I) [-]
};

/// Nothing to remember.
struct NoHistory {};

/// The contract of an elastic law: an aggregate of SI parameters that is a pure function of F.
///
///   shape(C, J)           ShapeResponse for C = F^T F and J = sqrt(det C), on double or Pack
///   mean_stress(volume)   dU/d(volume), on double or Pack [Pa]
///   shape_energy(C, J)    energy of the isochoric part, on double or Pack [J/m^3]
///   volume_energy(volume) U, on double or Pack [J/m^3]
///   split_stress(C)       isochoric and volumetric 2nd Piola-Kirchhoff stress [Pa]
///   energy(F)             strain energy per reference volume [J/m^3]; P = dW/dF
///   advance(F, dt, old)   {P, history}; an elastic law ignores dt and history
///   initial_moduli()      for F near I
///   smallest_jacobian()   det F at which the void is closed under pressure from all sides; 0: none
///   check()               throws Error naming the parameter, its value and its range, or what is
///                         wrong with several together
///   kind, parameters()    name and keys in a polymer card
///   shape_flops           of one shape(), counted by hand
///   volume_in_shape       true for a law whose energy does not split: its shape() answers to
///                         change of volume too; left out by the others
///
/// Valid for det F > smallest_jacobian(). Past a closed void stress and energy are NaN, never a
/// number. Density is no part of a law: no stress depends on it; it is kept in the card.
template <class Law>
concept PointLaw = std::is_aggregate_v<Law> && requires(const Law law, const Mat3 F, double dt) {
    typename Law::History;
    { law.advance(F, dt, typename Law::History{}).P } -> std::convertible_to<Mat3>;
    {
        law.advance(F, dt, typename Law::History{}).history
        } -> std::convertible_to<typename Law::History>;
    { law.initial_moduli() } -> std::same_as<InitialModuli>;
    { law.smallest_jacobian() } -> std::same_as<double>;
    law.check();
};

template <class Law>
concept ElasticLaw = PointLaw<Law> &&
    requires(const Law law, const Mat3 F, const lane::Symmetric<Pack> C, const Pack J) {
    { law.shape(C, J) } -> std::same_as<ShapeResponse<Pack>>;
    { law.mean_stress(J) } -> std::same_as<Pack>;
    { law.shape_energy(C, J) } -> std::same_as<Pack>;
    { law.volume_energy(J) } -> std::same_as<Pack>;
    { law.split_stress(F) } -> std::same_as<SplitStress>;
    { law.energy(F) } -> std::same_as<double>;
    { Law::kind } -> std::convertible_to<std::string_view>;
    { Law::shape_flops } -> std::convertible_to<double>;
    Law::parameters();
};

/// Whether shape() answers to change of volume too, so that Prony terms relax the bulk modulus.
template <class Law>
inline constexpr bool volume_in_shape = requires {
    requires Law::volume_in_shape;
};

/// Answer of a law without memory.
struct ElasticResponse {
    Mat3 P = Mat3::Zero(); ///< 1st Piola-Kirchhoff stress [Pa]
    NoHistory history;
};

/// Split stress of any law by its response to one shape.
template <class Law>
[[nodiscard]] SplitStress split_stress_of(const Law& law, const Mat3& C) noexcept {
    const double J = std::sqrt(C.determinant());
    const ShapeResponse<double> at = law.shape(lane::symmetric_of(C), J);
    return {.isochoric = lane::matrix_of(at.isochoric),
            .volumetric = law.mean_stress(at.volume) * lane::matrix_of(at.spread)};
}

/// P = F (S_iso + S_vol) for any law that splits its stress.
template <class Law>
[[nodiscard]] ElasticResponse elastic_response(const Law& law, const Mat3& F) noexcept {
    const Mat3 C = F.transpose() * F;
    const SplitStress S = law.split_stress(C);
    return {.P = F * (S.isochoric + S.volumetric), .history = {}};
}

/// Checks every given parameter of a law against its range; throws an input Error for the first
/// outside.
template <class Law>
void check_parameters(const Law& law) {
    for (const Parameter<Law>& p : Law::parameters())
        CELLGRADE_CHECK(!is_given(law, p) || inside(p.range, law.*p.member),
                        "{} law: {} = {:.9g} is not allowed; {} is needed", Law::kind, p.key,
                        law.*p.member / p.to_SI, describe(p.range));
}

/// What every law has from its response to one shape: the base of all of them, without data, so
/// that a law stays an aggregate.
template <class Law>
struct LawOfShape {
    using History = NoHistory;
    using Response = ElasticResponse;

    void check() const { check_parameters(self()); }

    [[nodiscard]] SplitStress split_stress(const Mat3& C) const noexcept {
        return split_stress_of(self(), C);
    }
    [[nodiscard]] double energy(const Mat3& F) const noexcept {
        const lane::Symmetric<double> C = lane::symmetric_of(F.transpose() * F);
        const double J = F.determinant();
        return self().shape_energy(C, J) + self().volume_energy(self().shape(C, J).volume);
    }
    [[nodiscard]] Response
    advance(const Mat3& F, double /*dt*/, const History& /*old*/) const noexcept {
        return elastic_response(self(), F);
    }

private:
    [[nodiscard]] const Law& self() const noexcept { return static_cast<const Law&>(*this); }
};

} // namespace cellgrade
