// SPDX-License-Identifier: Apache-2.0
// Frequencies and buckling loads of straight round columns. Slender (Euler-Bernoulli) elements err
// with the fourth power of their length, below 1e-5 for the modes here at 32 elements;
// shear-flexible ones with the second, since their shear is constant along an element: 5.2e-4 for
// the third mode at 32 elements, so 128 are taken there. Tolerances: the printed digits (1e-5), or
// what the reference or the element leaves out, as said at each group.
#include "solver/cli/verify/known_cells.hpp"
#include "solver/cli/verify/verification_row.hpp"
#include "solver/modes/buckling.hpp"
#include "solver/modes/natural_frequencies.hpp"

#include <array>
#include <cmath>
#include <numbers>
#include <string>
#include <utility>

namespace cellgrade {

namespace {

// The standard strut: round, r 0.5 mm, L 10 mm, E 50 MPa, nu 0.45, 1200 kg/m^3.
constexpr double radius = 0.5e-3, length = 10e-3, youngs = 50e6, poisson = 0.45, density = 1200.0;
constexpr int n_slender = 32;
constexpr int n_shear = 128;
const SectionModuli shear_moduli = section_moduli(youngs, poisson);

SectionModuli slender_moduli() {
    SectionModuli moduli = shear_moduli;
    moduli.shear_factor = 1e12; // Euler-Bernoulli
    return moduli;
}

using Held = std::array<bool, 6>;

/// Column along z that bends in the x-z plane only, so that no frequency is repeated: y, the twist
/// and the turn about x are held everywhere.
struct End {
    bool x, z, turn; ///< held: sideways, along, rotation about y
};
constexpr End clamped{true, true, true};
constexpr End pinned{true, true, false};
constexpr End pinned_slide{true, false, false};
constexpr End none{false, false, false};
constexpr End pushed{false, true, false}; ///< free but for the platen that shortens the column

std::vector<NodeSupport> plane_supports(const BeamMesh& column, End bottom, End top) {
    std::vector<NodeSupport> supports;
    const Index last = static_cast<Index>(column.nodes.size()) - 1;
    for (Index n = 0; n < static_cast<Index>(column.nodes.size()); ++n) {
        const End end = n == 0 ? bottom : (n == last ? top : none);
        supports.push_back({.node = n, .held = Held{end.x, true, end.z, true, end.turn, true}});
    }
    return supports;
}

/// Everything held but one degree of freedom of all nodes above the first.
std::vector<NodeSupport> only(int dof, int n_elements) {
    std::vector<NodeSupport> supports;
    for (Index n = 0; n <= n_elements; ++n) {
        Held held{true, true, true, true, true, true};
        held[dof] = n == 0;
        supports.push_back({.node = n, .held = held});
    }
    return supports;
}

class Rows {
public:
    void add(std::string id,
             std::string quantity,
             std::string unit,
             std::pair<double, double> pair,
             double tolerance,
             std::string source) {
        rows_.push_back(verification_row({.id = "modes/" + std::move(id),
                                          .quantity = std::move(quantity),
                                          .unit = std::move(unit),
                                          .reference = pair.first,
                                          .computed = pair.second,
                                          .tolerance = tolerance,
                                          .source = std::move(source)}));
    }
    [[nodiscard]] std::vector<VerificationRow> take() { return std::move(rows_); }

private:
    std::vector<VerificationRow> rows_;
};

double hertz(double omega) {
    return omega / (2.0 * std::numbers::pi);
}

/// Roots beta L of the Euler-Bernoulli beam. At r/L = 0.001 rotary inertia takes at most
/// (beta r/2)^2 / 2 = 1.5e-5 off the highest one below; tolerance 1e-4.
void add_bending_roots(Rows& rows) {
    const double r = 1e-3 * length;
    const BeamMesh column = known_cells::column(length, r, n_slender);
    struct Case {
        std::string name;
        End bottom, top;
        std::vector<double> roots;
        std::size_t rigid;
    };
    const std::vector<Case> cases = {
        {"clamped-free", clamped, none, {1.87510407, 4.69409113, 7.85475744, 10.9955407}, 0},
        {"free-free", none, none, {4.73004074, 7.85320462, 10.9956078}, 3},
        {"clamped-pinned", clamped, pinned_slide, {3.92660231, 7.06858275}, 0},
        {"pinned-pinned", pinned, pinned_slide, {std::numbers::pi, 2.0 * std::numbers::pi}, 0}};
    for (const Case& c : cases) {
        const NaturalModes modes = natural_frequencies(column, slender_moduli(), density,
                                                       plane_supports(column, c.bottom, c.top),
                                                       static_cast<int>(c.roots.size() + c.rigid));
        for (std::size_t i = 0; i < c.roots.size(); ++i) {
            // omega = (beta L)^2 sqrt(E I / rho A) / L^2 with I / A = r^2 / 4
            const double unit = std::sqrt(youngs / density) * 0.5 * r / (length * length);
            rows.add(c.name + "-root-" + std::to_string(i + 1), "beta L, " + c.name + " beam", "1",
                     {c.roots[i], std::sqrt(modes.omega[i + c.rigid] / unit)}, 1e-4,
                     "cos x cosh x = -1 or +1, tan x = tanh x, n pi");
        }
    }
}

void add_rod_and_shaft(Rows& rows) {
    const BeamMesh column = known_cells::column(length, radius, n_slender);
    const auto first = [&](int dof) {
        return hertz(
            natural_frequencies(column, shear_moduli, density, only(dof, n_slender), 1).omega[0]);
    };
    // Linear shape: (pi / 2 / 32)^2 / 24 = 1.0e-4 too high with consistent mass; tolerance twice
    // it.
    rows.add("rod", "first axial frequency, fixed-free", "Hz", {5103.104, first(2)}, 2e-4,
             "wave equation, sqrt(E/rho) / 4L");
    rows.add("shaft", "first torsional frequency, fixed-free", "Hz", {2996.646, first(5)}, 2e-4,
             "wave equation, sqrt(G/rho) / 4L");
}

void add_timoshenko(Rows& rows) {
    const BeamMesh column = known_cells::column(length, radius, n_shear);
    const NaturalModes modes = natural_frequencies(column, shear_moduli, density,
                                                   plane_supports(column, pinned, pinned_slide), 4);
    // The axial mode of a rod held at one end, 5103 Hz, lies third, between the bending modes.
    const std::array<std::pair<std::size_t, double>, 3> want = {
        {{0, 791.3744}, {1, 3053.457}, {3, 6513.173}}};
    for (const auto& [mode, frequency] : want)
        rows.add("timoshenko-" + std::to_string(mode == 3 ? 3 : mode + 1),
                 "pinned Timoshenko beam with rotary inertia", "Hz",
                 {frequency, hertz(modes.omega[mode])}, 1e-4,
                 "(rho r2/kG) w4 - (1 + r2 k2 (1 + E/kG)) w2 + (E r2/rho) k4 = 0, k = n pi/L");
}

void add_euler_loads(Rows& rows) {
    const BeamMesh column = known_cells::column(length, radius, n_slender);
    struct Case {
        std::string name;
        End bottom, top;
        double load; ///< [N]
    };
    for (const Case& c : {Case{"pinned-pinned", pinned, pinned, 0.2422365},
                          Case{"clamped-free", clamped, pushed, 0.06055913},
                          Case{"clamped-pinned", clamped, pinned, 0.4955550},
                          Case{"clamped-clamped", clamped, clamped, 0.9689461}}) {
        const auto modes =
            buckling(column, slender_moduli(), plane_supports(column, c.bottom, c.top), 1);
        rows.add("euler-" + c.name, "buckling load, " + c.name + " column", "N",
                 {c.load, modes[0].critical_force}, 1e-5, "Euler; tan x = x");
    }
}

/// Linear stability of a geometrically exact rod, compression before buckling left out, is that of
/// Haringx; six digits.
void add_haringx(Rows& rows) {
    for (const auto& [share, strain] : {std::pair{0.025, 0.00153451}, std::pair{0.05, 0.00605015},
                                        std::pair{0.10, 0.0229683}, std::pair{0.15, 0.0480511}}) {
        const BeamMesh column = known_cells::column(length, share * length, n_shear);
        const auto modes =
            buckling(column, shear_moduli, plane_supports(column, pinned, pinned), 1);
        rows.add("haringx-" + std::to_string(share).substr(0, 5),
                 "critical strain of a pinned column, r/L " + std::to_string(share).substr(0, 5),
                 "1", {strain, modes[0].critical_strain}, 1e-5,
                 "Haringx (1948), P (1 + P/kGA) = P_Euler; Reissner (1972)");
    }
}

} // namespace

std::vector<VerificationRow> verify_modes() {
    Rows rows;
    add_bending_roots(rows);
    add_rod_and_shaft(rows);
    add_timoshenko(rows);
    add_euler_loads(rows);
    add_haringx(rows);
    return rows.take();
}

} // namespace cellgrade
