// SPDX-License-Identifier: Apache-2.0
// Problem    columns and inclined struts shortened far past buckling, end driven, explicit dynamics
//            at rest at every station.
// Exact      elliptic integrals (pinned, clamped, guided) and shooting (clamped-pinned, inclined),
//            all without extension.
// Tolerance  0.5 %. With one integration point the buckling load of n elements a half wave is
//            (2 n/pi)^2 tan^2(pi/2n) times the exact one: 0.29 % high for 24. Extension and shear
//            are held to EI/(EA L^2) = 1e-5: 0.03 % low.
#include "solver/cli/verify/known_beams.hpp"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <memory>
#include <numbers>

namespace cellgrade {

namespace {

using namespace known_beams;
constexpr double pi = std::numbers::pi;
const std::string elastica_source =
    "Timoshenko & Gere (1961), Theory of Elastic Stability, art. 2.7 (elliptic integrals)";

/// EI = L = mass a length = 1.
constexpr Section slender{
    .EA = 1e5, .kGA = 0.5e5, .GJ = 1.0, .EI = 1.0, .mass = 1.0, .polar = 1e-6, .bend = 1e-6};

/// One station of a shortened strut along z, lower end held at 0.
struct Station {
    double force;     // compression on the driven end
    Vec3 side;        // reaction of the lower support
    double moment;    // of the lower support about y
    Vec3 middle;      // position of the middle node
    Vec3 top;         // position of the driven node
    double turn;      // of the lower end about y
    double curvature; // of the middle element(s)
};

struct Column {
    Vec3 top = Vec3::UnitZ();
    unsigned lower = fix_all, upper = fix_all; // freedoms; the upper z is driven
    int n = 48;
    double omega = 1.0;  // lowest frequency, about
    double pushed = 0.5; // height at which a passing side force starts the buckle
};

/// The chain shortened by each of `shares` of its height in turn. A side force during the first way
/// starts the buckle and is gone before it ends, so nothing of it is in the answer.
std::vector<Station> shorten(const Column& column, const std::vector<double>& shares) {
    const Index n = column.n, pushed = static_cast<Index>(std::lround(column.pushed * n));
    const BeamMesh mesh = chain({{0, 0, 0}, column.top}, n);
    const double period = 2.0 * pi / column.omega;
    std::vector<double> ways;
    for (const double share : shares)
        ways.push_back(share * column.top.z());
    const Stages stages(ways, period, 3.0 * period);
    BodyDynamics body(mesh.nodes, section_body(mesh, slender, RotaryRule::RaisedToAxial),
                      {.damping_per_s = 1.4 * column.omega});
    hold_in_plane(body, mesh, 1);
    const Index lower = body.add_group({.nodes = {0}, .freedoms = column.lower});
    body.add_group({.nodes = {n}, .freedoms = column.upper & ~fix_z});
    const Index driven =
        body.add_group({.nodes = {n}, .freedoms = fix_z, .rate = [&stages](double t) {
                            return GroupRate{.velocity = -stages.rate(t) * Vec3::UnitZ()};
                        }});
    body.add_load({.node = pushed, .force = Vec3(0.5, 0, 0), .factor = [period](double t) {
                       const double s = t / (0.8 * period);
                       return s < 1.0 ? 16.0 * s * s * (1.0 - s) * (1.0 - s) : 0.0;
                   }});
    body.start();
    std::vector<Station> stations;
    for (int k = 0; k < stages.size(); ++k) {
        settle(body, stages.end(k));
        const GroupReaction& support = body.motion().reaction(lower);
        const Index m = n / 2;
        stations.push_back(
            {.force = -body.motion().reaction(driven).force.z(),
             .side = support.force,
             .moment = support.moment.y(),
             .middle = position(body, m),
             .top = position(body, n),
             .turn = turn_about(body, 0, 1),
             .curvature = 0.5 * n * (turn_about(body, m + 1, 1) - turn_about(body, m - 1, 1)) /
                          column.top.norm()});
    }
    return stations;
}

/// One line of the elastica table: P/P_E, w_mid/L, end angle, kappa_max L of a pinned column.
struct ElasticaLine {
    double e, load, offset, degrees, curvature;
};
constexpr std::array<ElasticaLine, 5> elastica = {
    ElasticaLine{0.05, 1.0257243, 0.1401106, 25.7586, 1.418409},
    ElasticaLine{0.10, 1.0529869, 0.1949243, 36.6243, 2.025763},
    ElasticaLine{0.20, 1.1127387, 0.2663186, 52.3716, 2.924788},
    ElasticaLine{0.40, 1.2587590, 0.3487125, 75.8388, 4.332214},
    ElasticaLine{0.60, 1.4562294, 0.3899719, 95.3284, 5.604835}};

std::vector<double> shares() {
    std::vector<double> e;
    for (const ElasticaLine& line : elastica)
        e.push_back(line.e);
    return e;
}

void add_one(Rows& rows,
             const std::string& column,
             const char* quantity,
             double e,
             const Check& check,
             const std::string& source) {
    std::string id = quantity;
    for (char& c : id)
        if (c == ' ')
            c = '-';
    add(rows, fmt::format("columns/{}-{:g}-{}", column, 100.0 * e, id),
        fmt::format("{} of a {} column shortened by {:g} %", quantity, column, 100.0 * e), "1",
        check, source);
}

void add_pinned(Rows& rows) {
    const Column column{
        .lower = fix_translations, .upper = fix_translations, .n = 24, .omega = pi * pi};
    const std::vector<Station> got = shorten(column, shares());
    for (std::size_t k = 0; k < elastica.size(); ++k) {
        const ElasticaLine& want = elastica[k];
        const auto row = [&](const char* quantity, double reference, double computed) {
            add_one(rows, "pinned", quantity, want.e,
                    {.reference = reference, .computed = computed, .tolerance = 5e-3},
                    elastica_source);
        };
        row("load over Euler load", want.load, got[k].force / (pi * pi));
        row("mid offset over length", want.offset, std::abs(got[k].middle.x()));
        row("end angle in degrees", want.degrees, std::abs(got[k].turn) * 180.0 / pi);
        row("mid curvature times length", want.curvature, std::abs(got[k].curvature));
    }
}

void add_clamped_and_guided(Rows& rows) {
    const std::vector<Station> clamped = shorten({.n = 48, .omega = 22.4}, shares());
    const std::vector<Station> guided = shorten(
        {.upper = fix_z | fix_rotations, .n = 24, .omega = pi * pi / 2.0, .pushed = 1.0}, shares());
    for (std::size_t k = 0; k < elastica.size(); ++k) {
        const ElasticaLine& want = elastica[k];
        const auto row = [&](const char* which, const char* what, double ref, double got) {
            add_one(rows, which, what, want.e,
                    {.reference = ref, .computed = got, .tolerance = 5e-3}, elastica_source);
        };
        row("clamped", "load over four Euler loads", want.load, clamped[k].force / (4.0 * pi * pi));
        row("clamped", "mid offset over length", want.offset, std::abs(clamped[k].middle.x()));
        row("guided", "load over Euler load", want.load, guided[k].force / (pi * pi));
        row("guided", "end offset over length", 2.0 * want.offset, std::abs(guided[k].top.x()));
    }
}

void add_clamped_pinned(Rows& rows) {
    struct Line {
        double e, load, side, moment; // P/Pcr, V L^2/EI, M0 L/EI
    };
    constexpr std::array<Line, 4> lines = {
        Line{0.05, 1.018938, 2.13024, 2.02372}, Line{0.20, 1.075800, 5.16473, 4.13178},
        Line{0.45, 1.139587, 11.54840, 6.35162}, Line{0.60, 1.073002, 18.10050, 7.24020}};
    constexpr double critical = 20.19072856;
    const std::string source = "elastica by shooting; Pcr from tan x = x";
    const std::vector<Station> got =
        shorten({.upper = fix_translations, .n = 36, .omega = 15.4}, {0.05, 0.20, 0.45, 0.60});
    for (std::size_t k = 0; k < lines.size(); ++k) {
        const auto row = [&](const char* quantity, double reference, double computed) {
            add_one(rows, "clamped-pinned", quantity, lines[k].e,
                    {.reference = reference, .computed = computed, .tolerance = 5e-3}, source);
        };
        row("load over critical load", lines[k].load, got[k].force / critical);
        row("side reaction", lines[k].side, std::abs(got[k].side.x()));
        row("clamp moment", lines[k].moment, std::abs(got[k].moment));
    }
}

/// Inclined struts whose ends keep their angle: what struts between joints of a cell do.
void add_inclined(Rows& rows) {
    struct Line {
        double e, load_bcc, growth_bcc, load_45, growth_45;
    };
    constexpr std::array<Line, 4> lines = {Line{0.05, .497941, .023906, .780828, .047162},
                                           Line{0.20, 1.796180, .083755, 2.589990, .160406},
                                           Line{0.40, 3.269496, .140024, 4.427348, .261990},
                                           Line{0.60, 4.634938, .173415, 6.072371, .320418}};
    const std::string source = "elastica by shooting; idea of Zhu, Mills & Knott (1997), J. Mech. "
                               "Phys. Solids 45, 1875";
    const double bcc = std::acos(1.0 / std::sqrt(3.0));
    for (const double angle : {bcc, 0.25 * pi}) {
        const Vec3 top(std::sin(angle), 0.0, std::cos(angle));
        const std::vector<Station> got =
            shorten({.top = top, .upper = fix_z | fix_rotations, .n = 24, .omega = 0.5 * pi * pi},
                    {0.05, 0.20, 0.40, 0.60});
        const bool is_bcc = angle == bcc;
        const std::string name = is_bcc ? "inclined-54.7" : "inclined-45";
        for (std::size_t k = 0; k < lines.size(); ++k) {
            const Line& line = lines[k];
            add_one(rows, name, "load times length squared over EI", line.e,
                    {.reference = is_bcc ? line.load_bcc : line.load_45,
                     .computed = got[k].force,
                     .tolerance = 5e-3},
                    source);
            add_one(rows, name, "sideways growth", line.e,
                    {.reference = is_bcc ? line.growth_bcc : line.growth_45,
                     .computed = got[k].top.x() / top.x() - 1.0,
                     .tolerance = 5e-3},
                    source);
        }
    }
}

void add_orders(Rows& rows) {
    std::vector<double> errors;
    for (const int n : {6, 12, 24})
        errors.push_back(std::abs(
            shorten(
                {.lower = fix_translations, .upper = fix_translations, .n = n, .omega = pi * pi},
                {0.50})
                    .front()
                    .force /
                (pi * pi) -
            1.3494490));
    add_order(rows, "columns/pinned-50",
              "the load of a pinned column shortened by 50 %, n = 6 12 24", errors, 0.1);
}

} // namespace

std::vector<VerificationRow> verify_columns() {
    Rows rows;
    add_pinned(rows);
    add_clamped_and_guided(rows);
    add_clamped_pinned(rows);
    add_inclined(rows);
    add_orders(rows);
    return rows;
}

} // namespace cellgrade
