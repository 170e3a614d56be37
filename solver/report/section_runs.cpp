// SPDX-License-Identifier: Apache-2.0
#include "solver/core/units.hpp"
#include "solver/grades/trait_fields.hpp"
#include "solver/report/drop_plot.hpp"
#include "solver/report/html.hpp"
#include "solver/report/page_sections.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

using html::text;

std::string guards_html(const std::string& file, const std::vector<GuardResult>& guards) {
    std::vector<html::Row> rows;
    for (const GuardResult& guard : guards)
        rows.push_back(
            {.cells = {text(guard.name), html::number(guard.value, 3), html::number(guard.limit, 3),
                       guard.met        ? html::mark("good", "met")
                       : guard.enforced ? html::mark("bad", "missed")
                                        : html::mark("doubt", "above, reported only")}});
    return html::table(
        "Guards of " + file,
        {{"guard", false, ""}, {"reached", true, ""}, {"limit", true, ""}, {"verdict", false, ""}},
        rows);
}

std::string traits_html(const std::string& file, const CrushTraits& traits) {
    std::vector<html::Row> rows;
    for (const TraitField& field : trait_fields())
        rows.push_back({.cells = {text(field.name), html::number(traits.*field.member),
                                  text(field.units), text(field.meaning)}});
    return html::table(
        "Traits of " + file,
        {{"trait", false, ""}, {"value", true, ""}, {"unit", false, ""}, {"meaning", false, ""}},
        rows);
}

LinePanel curve_panel(const CrushResult& r) {
    LinePanel panel{.name = "stress over strain",
                    .x_name = "nominal strain [-]",
                    .y_name = "nominal stress [MPa]"};
    const auto turn = std::min<std::size_t>(static_cast<std::size_t>(r.curve.turn),
                                            r.curve.nominal_strain.size());
    const auto part = [&](const std::vector<double>& all, std::size_t from, std::size_t to,
                          double unit) {
        std::vector<double> out;
        for (std::size_t i = from; i < to; ++i)
            out.push_back(all[i] / unit);
        return thinned(out, 1.0);
    };
    const bool doubtful = !r.record.trusted();
    panel.lines.push_back({doubtful ? "loading, not a result" : "loading",
                           part(r.curve.nominal_strain, 0, turn, 1.0),
                           part(r.curve.nominal_stress_Pa, 0, turn, units::MPa), doubtful});
    if (const std::size_t n = r.curve.nominal_strain.size(); turn < n && turn > 0)
        panel.lines.push_back({"unloading", part(r.curve.nominal_strain, turn - 1, n, 1.0),
                               part(r.curve.nominal_stress_Pa, turn - 1, n, units::MPa), doubtful});
    return panel;
}

/// Energies over an axis, those that are never above 0.001 of the largest left out.
LinePanel energy_panel(const std::string& x_name,
                       const std::vector<double>& x,
                       const std::vector<std::pair<const char*, const std::vector<double>*>>& all,
                       bool doubtful) {
    LinePanel panel{.name = "where the work went", .x_name = x_name, .y_name = "energy [J]"};
    double largest = 0.0;
    for (const auto& each : all)
        for (const double value : *each.second)
            largest = std::max(largest, value);
    for (const auto& [label, values] : all)
        if (!values->empty() && *std::max_element(values->begin(), values->end()) > 1e-3 * largest)
            panel.lines.push_back({label, x, thinned(*values, 1.0), doubtful});
    return panel;
}

LinePanel crush_energies(const CrushResult& r) {
    const CrushHistory& h = r.record.history;
    std::vector<double> strain;
    for (const double way : h.displacement_m)
        strain.push_back(way / r.record.height_m);
    return energy_panel("nominal strain [-]", thinned(strain, 1.0),
                        {{"work of the platens", &h.external_work_J},
                         {"stored in the struts", &h.stored_energy_J},
                         {"lost in the polymer", &h.viscous_energy_J},
                         {"lost by friction", &h.friction_energy_J},
                         {"lost by damping", &h.damping_energy_J},
                         {"stored in contact", &h.contact_energy_J},
                         {"motion", &h.kinetic_energy_J}},
                        !r.record.trusted());
}

LinePanel drop_energies(const DropRecord& r) {
    const DropHistory& h = r.history;
    return energy_panel("time [ms]", thinned(h.time_s, units::ms),
                        {{"brought in", &h.external_work_J},
                         {"motion", &h.kinetic_energy_J},
                         {"stored in the pad", &h.stored_energy_J},
                         {"lost in the polymer", &h.viscous_energy_J},
                         {"lost by friction", &h.friction_energy_J},
                         {"stored in contact", &h.contact_energy_J}},
                        !r.trusted());
}

/// Figures of the shapes that belong to a file.
std::string shapes_of(const ReportContent& content, PageData& data, const std::string& file) {
    std::string out;
    for (std::size_t k = 0; k < content.shapes.size(); ++k) {
        if (content.shapes[k].of != file)
            continue;
        const PackedShapes& packed = data.scenes[k];
        const std::string title = fmt::format("Shapes of {}", content.shapes[k].file);
        out += fmt::format(
            "<figure id=\"shapes-{0}\" data-scene=\"{0}\"><figcaption>{1} <small>{2} of {3} saved "
            "shapes</small></figcaption>\n{4}</figure>\n",
            k, text(title), packed.n_frames(), packed.n_saved,
            html::picture(shape_picture_svg(title, packed), title + ", before and most crushed"));
    }
    return out;
}

std::string verdict_html(const std::string& verdict, bool trusted) {
    return html::paragraph_of(
        html::mark(trusted ? "good" : "bad", trusted ? "trusted" : "not a result") + " " +
            text(verdict.substr(std::min(verdict.find(": ") + 2, verdict.size()))),
        "headline");
}

std::string drop_traits_html(const ReportedDrop& drop) {
    std::vector<html::Row> rows;
    const DropRecord& r = drop.result.record;
    for (const DropField& field : drop_fields())
        if (std::isfinite(r.traits.*field.member))
            rows.push_back({.cells = {text(field.name), html::number(r.traits.*field.member),
                                      text(field.units), text(field.meaning)}});
    const DropInjury& injury = drop.result.injury;
    for (const auto& [name, value, meaning] :
         {std::tuple{"hic15", injury.hic15, "head injury criterion, windows up to 15 ms"},
          {"hic36", injury.hic36, "head injury criterion, windows up to 36 ms"},
          {"severity_index", injury.severity_index, "integral of acceleration^2.5"}})
        if (std::isfinite(value))
            rows.push_back({.cells = {name, html::number(value), "s", meaning}});
    return html::table(
        "What the drop tells",
        {{"quantity", false, ""}, {"value", true, ""}, {"unit", false, ""}, {"meaning", false, ""}},
        rows);
}

} // namespace

std::string crushes_section(const ReportContent& content, PageData& data) {
    std::string inner;
    for (std::size_t k = 0; k < content.crushes.size(); ++k) {
        const ReportedCrush& crush = content.crushes[k];
        const CrushResult& r = crush.result;
        const bool trusted = r.record.trusted();
        inner += fmt::format("<h3>{}</h3>\n", text(crush.file)) +
                 verdict_html(verdict_text(r.record), trusted);
        inner += "<div class=\"run\">\n" + shapes_of(content, data, crush.file) +
                 chart_figure(data, fmt::format("crush-curve-{}", k), "Curve of " + crush.file,
                              {curve_panel(r)}) +
                 "</div>\n";
        if (trusted)
            inner += html::folded("All traits", traits_html(crush.file, r.traits));
        inner += chart_figure(data, fmt::format("crush-energy-{}", k),
                              "Energy ledger of " + crush.file, {crush_energies(r)}) +
                 guards_html(crush.file, r.record.guards);
    }
    return inner.empty() ? "" : html::section("crushes", "Crushes", inner);
}

std::string drops_section(const ReportContent& content, PageData& data) {
    std::string inner;
    for (std::size_t k = 0; k < content.drops.size(); ++k) {
        const ReportedDrop& drop = content.drops[k];
        const DropRecord& r = drop.result.record;
        inner += fmt::format("<h3>{}</h3>\n", text(drop.file)) +
                 verdict_html(drop_verdict(r), r.trusted());
        if (r.past_densification)
            inner += html::paragraph_of(
                html::mark("doubt", "past densification") +
                " The pad was driven past its efficient depth: a little more and it is solid.");
        if (r.trusted())
            inner += drop_traits_html(drop);
        inner += shapes_of(content, data, drop.file) +
                 chart_figure(data, fmt::format("drop-curve-{}", k),
                              "Acceleration and force of " + drop.file, drop_panels(r)) +
                 chart_figure(data, fmt::format("drop-energy-{}", k),
                              "Energy ledger of " + drop.file, {drop_energies(r)}) +
                 guards_html(drop.file, r.guards);
    }
    return inner.empty() ? "" : html::section("drops", "Drops", inner);
}

std::string other_shapes_section(const ReportContent& content, PageData& data) {
    const std::string inner = shapes_of(content, data, "");
    return inner.empty() ? "" : html::section("shapes", "Shapes", inner);
}

} // namespace cellgrade
