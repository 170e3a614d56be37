// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/test_plan.hpp"

#include "solver/cli/columns.hpp"
#include "solver/core/error.hpp"
#include "solver/core/units.hpp"
#include "solver/grades/trait_fields.hpp"
#include "solver/results/provenance.hpp"

#include <cmath>

namespace cellgrade {

namespace {

constexpr double coverage = 2.0; // of a standard uncertainty: about 95 %, GUM 6.3.3

/// Combined standard uncertainty of a trait of a row; NaN where nothing was estimated.
double doubt_of(const GradeRow& row, double CrushTraits::*member) {
    const auto fields = trait_fields();
    for (std::size_t i = 0; i < std::min(fields.size(), row.uncertainty.size()); ++i)
        if (fields[i].member == member)
            return row.uncertainty[i].combined();
    return std::nan("");
}

std::string with_doubt(double value, double doubt, double unit) {
    if (std::isnan(doubt))
        return fmt::format("{} (interval not estimated)", readable(value / unit, 3));
    return fmt::format("{} ({} to {})", readable(value / unit, 3),
                       readable((value - coverage * doubt) / unit, 3),
                       readable((value + coverage * doubt) / unit, 3));
}

std::string rate_text(const GradeCase& grade) {
    return std::isnan(grade.speed_m_per_s)
               ? fmt::format("{:g} 1/s, quasi-static", grade.strain_rate_per_s)
               : fmt::format("{:g} m/s", grade.speed_m_per_s);
}

std::string pressed_text(const std::vector<const GradeRow*>& rows) {
    std::string text =
        "| relative density | rate | temperature | plateau stress, MPa | energy to 50 "
        "%, MJ/m3 | densification strain |\n|---|---|---|---|---|---|\n";
    for (const GradeRow* row : rows) {
        const CrushTraits& t = row->traits;
        text += fmt::format(
            "| {:.3g} | {} | {} | {} | {} | {} |\n", row->grade.relative_density,
            rate_text(row->grade),
            std::isnan(row->grade.temperature_C) ? std::string("of the card")
                                                 : fmt::format("{:g} C", row->grade.temperature_C),
            with_doubt(t.plateau_stress_Pa, doubt_of(*row, &CrushTraits::plateau_stress_Pa),
                       units::MPa),
            with_doubt(t.energy_to_50_J_per_m3, doubt_of(*row, &CrushTraits::energy_to_50_J_per_m3),
                       units::MPa),
            readable(t.densification_strain, 3));
    }
    return text;
}

std::string coupons_text(const std::vector<PrintedBlock>& coupons) {
    std::string text =
        "| files, mm | grade | cells | size, mm | expected mass, g |\n|---|---|---|---|---|\n";
    for (const PrintedBlock& coupon : coupons)
        text += fmt::format("| `{}` | {} | {} x {} x {} | {:.4g} x {:.4g} x {:.4g} | {:.3g} |\n",
                            fmt::join(coupon.files, "`, `"), coupon.grade, coupon.tiles[0],
                            coupon.tiles[1], coupon.tiles[2], coupon.size.x() / units::mm,
                            coupon.size.y() / units::mm, coupon.size.z() / units::mm,
                            1e3 * coupon.mass_kg);
    return text;
}

std::string drops_text(const ZoneChoice& choice) {
    const Candidate& c = choice.ranked.front();
    std::string text =
        "| blow | mass, kg | speed, m/s | peak, g | with doubt, g | deepest strain | "
        "limit used |\n|---|---|---|---|---|---|---|\n";
    for (std::size_t i = 0; i < c.blows.size(); ++i) {
        const BlowResult& b = c.blows[i];
        text += fmt::format("| {} | {:.3g} | {:.3g} | {:.3g} | {} | {:.2f} | {:.0f} % |\n",
                            b.impact, choice.bounds[i].mass_kg, choice.bounds[i].speed_m_per_s,
                            b.peak_acceleration_g,
                            b.peak_acceleration_high_g > b.peak_acceleration_g * (1.0 + 1e-9)
                                ? fmt::format("up to {:.3g}", b.peak_acceleration_high_g)
                                : std::string("not estimated"),
                            b.largest_strain, 100.0 * b.use);
    }
    return text;
}

} // namespace

std::string test_plan(const ZonePlan& plan,
                      const ZoneChoice& choice,
                      const std::vector<const GradeRow*>& rows,
                      const std::vector<PrintedBlock>& coupons) {
    const Candidate& c = choice.ranked.front();
    std::string text = fmt::format("# Test plan: {}, zone {}\n\n> {}\n\n", plan.name,
                                   choice.zone.name, caution_text());
    if (!plan.about.empty())
        text += plan.about + "\n\n";
    text += fmt::format("Grade: {} of {}, {:.3g} mm thick, {:.4g} mm2, {:.3g} g of polymer.\n",
                        c.grade.label(), c.grade.selection.polymer, c.thickness_m / units::mm,
                        1e6 * choice.zone.area_m2, 1e3 * c.mass_kg);
    if (!choice.chosen)
        text += "**It does not pass**; it is the nearest of what was tried.\n";
    text += "\n## 1. Print and weigh\n\nAs the product is printed: same direction, machine and "
            "polymer. Three pads, and five coupons of each:\n\n" +
            coupons_text(coupons) +
            "\nLengths in all files are in millimetres; STL itself names no unit. Of struts, STL "
            "and 3MF hold the closed surface, and `-beams.3mf` axes and radii for slicers that "
            "read the beam lattice extension; print one of them. Size is between the axes of the "
            "outermost struts, which stand out by half their diameter.\n"
            "\nWeigh each. More than 5 % off, and the grade is another one: do not go on.\n";
    text +=
        "\n## 2. Crush\n\nBetween flat platens, to densification, force and way at 10 readings a "
        "per cent of strain or more (ISO 13314, from memory); at the rates below. Record the "
        "machine's compliance and "
        "take it off (`cellgrade traits CURVE.csv --frame-compliance-mm-per-N`). Predicted, with "
        "two standard uncertainties where they were estimated:\n\n" +
        pressed_text(rows) +
        "\nPlateau: mean stress over 20 to 40 % of strain. A free coupon is softer at its sides "
        "and denser than the endless one that was computed; compare with `cellgrade validate`.\n";
    text +=
        "\n## 3. Drop\n\nThe pad on a stiff backing, struck at right angles on its middle; "
        "acceleration at 10 kHz or more, filtered as CFC 1000 (ISO 6487, from memory), speed at "
        "the touch. Three pads, each once. Predicted:\n\n" +
        drops_text(choice);
    text +=
        "\n## 4. When this plan has proved the prediction wrong\n\n"
        "- the mean plateau or energy of five coupons lies outside the interval by more than "
        "their own scatter (t test, 5 %);\n"
        "- a peak is above the value with doubt, or a pad bottoms;\n"
        "- a coupon or pad breaks: fracture is not in the computation.\n\n"
        "Then measure the polymer (`cellgrade calibrate`) and make the table again before anything "
        "else is changed.\n";
    for (const BlowResult& blow : c.blows)
        for (const std::string& note : blow.notes)
            text += fmt::format("\nNote, {}: {}.", blow.impact, note);
    return text + "\n";
}

} // namespace cellgrade
