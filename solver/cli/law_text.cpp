// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/law_text.hpp"

#include "solver/cli/columns.hpp"
#include "solver/cli/trait_text.hpp"
#include "solver/core/units.hpp"
#include "solver/results/crush_file.hpp"
#include "solver/results/json.hpp"
#include "solver/results/provenance.hpp"

#include <nlohmann/json.hpp>

#include <cmath>
#include <limits>

namespace cellgrade {

namespace {

using Json = nlohmann::ordered_json;

/// Of the crushed block and then of the sheared ones.
std::vector<BranchError> block_branches(const LawReport& report) {
    std::vector<BranchError> all;
    if (report.proof)
        all = report.proof->branches;
    for (const BlockProof& sheared : report.sheared)
        all.insert(all.end(), sheared.branches.begin(), sheared.branches.end());
    return all;
}

std::vector<std::vector<std::string>> branch_rows(const LawReport& report) {
    std::vector<std::vector<std::string>> rows;
    const auto add = [&](const BranchError& b, const char* what) {
        rows.push_back({what, b.name, readable(b.to_strain, 3), readable(100.0 * b.area, 3),
                        readable(100.0 * b.energy, 3), readable(100.0 * b.worst, 3)});
    };
    for (const BranchError& b : report.law.branches)
        add(b, b.fitted ? "fitted" : "compared");
    for (const BranchError& b : block_branches(report))
        add(b, "block");
    return rows;
}

std::string forms_text(const LawReport& report) {
    std::string text;
    for (const CurveForm& form : report.forms) {
        text += fmt::format("{}: stress = {}; area between {:.3g} %, worst {:.3g} %\n", form.name,
                            form.formula, 100.0 * form.area, 100.0 * form.worst);
        for (const FormValue& v : form.values)
            text += v.determined ? fmt::format("  {} = {} ({} to {})\n", v.name, readable(v.value),
                                               readable(v.low), readable(v.high))
                                 : fmt::format("  {} = {} (the curve hardly tells it)\n", v.name,
                                               readable(v.value));
    }
    return text;
}

Json json_of(const BranchError& b) {
    return {{"name", b.name},       {"fitted", b.fitted},       {"to_strain", b.to_strain},
            {"area_share", b.area}, {"energy_share", b.energy}, {"worst_share", b.worst}};
}

Json json_of(const CurveForm& form) {
    Json values = Json::array();
    for (const FormValue& v : form.values) {
        Json each{{"name", v.name}, {"value", v.value}};
        if (v.determined && std::isfinite(v.low) && std::isfinite(v.high)) {
            each["low"] = v.low;
            each["high"] = v.high;
        }
        values.push_back(each);
    }
    return {{"name", form.name},           {"formula", form.formula},  {"source", form.source},
            {"to_strain", form.to_strain}, {"values", values},         {"area_share", form.area},
            {"energy_share", form.energy}, {"worst_share", form.worst}};
}

} // namespace

std::string law_report_text(const LawReport& report) {
    const PolymerCard& card = report.law.card;
    const InitialModuli at_rest = initial_moduli(card.law);
    std::string text = fmt::format("{}\n", report.grade);
    text += columns_text(
        {"law at rest ", "value"},
        {{"density_kg_per_m3", readable(card.density_kg_per_m3)},
         {"instantaneous_youngs_modulus_MPa", readable(at_rest.E0 / units::MPa)},
         {"long_term_youngs_modulus_MPa", readable(long_term_youngs_modulus_Pa(card) / units::MPa)},
         {"poissons_ratio", readable(std::abs(at_rest.nu0) < 1e-12 ? 0.0 : at_rest.nu0, 3)},
         {"void_fraction", readable(void_fraction(card), 3)},
         {"elliptic_to_strain", readable(report.law.elliptic_to, 3)}});
    text += columns_text({"against ", "test ", "to_strain", "area_%", "energy_%", "worst_%"},
                         branch_rows(report));
    text += forms_text(report);
    if (report.proof)
        text += guards_text(report.proof->record.guards);
    for (const BlockProof& sheared : report.sheared)
        if (!sheared.record.trusted())
            text +=
                fmt::format("the sheared block is not trusted: {}\n", verdict_text(sheared.record));
    for (const std::string& note : report.law.notes)
        text += fmt::format("note: {}\n", note);
    return text + caution_text() + "\n";
}

std::string law_report_json(const LawReport& report) {
    Json branches = Json::array(), forms = Json::array(), block = nullptr;
    for (const BranchError& b : report.law.branches)
        branches.push_back(json_of(b));
    for (const CurveForm& form : report.forms)
        forms.push_back(json_of(form));
    if (report.proof) {
        bool trusted = report.proof->record.trusted();
        for (const BlockProof& sheared : report.sheared)
            trusted = trusted && sheared.record.trusted();
        block = Json{{"trusted", trusted}, {"branches", Json::array()}};
        for (const BranchError& b : block_branches(report))
            block["branches"].push_back(json_of(b));
        block["guards"] = Json::parse(to_json(report.proof->record.guards));
    }
    const Json document{{"schema", "cellgrade/grade-law"},
                        {"caution", caution_text()},
                        {"grade", report.grade},
                        {"law", law_kind(report.law.card)},
                        {"elliptic_to_strain", report.law.elliptic_to},
                        {"branches", branches},
                        {"forms", forms},
                        {"block", block},
                        {"notes", report.law.notes}};
    return document.dump(2, ' ', false, Json::error_handler_t::replace);
}

CurvePlot law_plot(const LawReport& report) {
    constexpr double none = std::numeric_limits<double>::quiet_NaN();
    CurvePlot plot{.title = "grade law: " + report.grade,
                   .subtitle = "crush, law, and a block of the law crushed by the same solver"};
    const auto add = [&](const CrushCurve& curve, const char* label) {
        plot.curves.push_back({.curve = curve,
                               .panel = "",
                               .label = label,
                               .relative_density = none,
                               .speed_m_per_s = none,
                               .strain_rate_per_s = none,
                               .densification_strain = none});
    };
    add(report.test.curve, "crush");
    CrushCurve of_law;
    std::vector<ColumnMoment> path;
    constexpr int rows = 300;
    for (int i = 1; i <= rows; ++i) {
        const double e = report.test.to_strain * i / rows;
        path.push_back({.time_s = e / report.test.strain_rate_per_s, .strain = e});
    }
    const std::vector<ColumnAnswer> answers = column_path(report.law.card, path);
    for (std::size_t i = 0; i < path.size(); ++i)
        if (std::isfinite(answers[i].stress_Pa)) {
            of_law.nominal_strain.push_back(path[i].strain);
            of_law.nominal_stress_Pa.push_back(answers[i].stress_Pa);
        }
    of_law.turn = static_cast<Index>(of_law.nominal_strain.size());
    add(of_law, "law");
    if (report.proof)
        add(report.proof->curve, "block");
    return plot;
}

} // namespace cellgrade
