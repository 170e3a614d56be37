// SPDX-License-Identifier: Apache-2.0
#include "solver/results/json.hpp"

#include "solver/grades/trait_fields.hpp"
#include "solver/results/crush_file.hpp"
#include "solver/results/provenance.hpp"

#include <nlohmann/json.hpp>

#include <cmath>

namespace cellgrade {

namespace {

using Json = nlohmann::ordered_json;

Json number(double value) {
    return std::isfinite(value) ? Json(value) : Json(nullptr);
}

Json numbers(const std::vector<double>& values) {
    Json list = Json::array();
    for (const double value : values)
        list.push_back(number(value));
    return list;
}

Json curve_object(const CrushCurve& curve) {
    return {{"nominal_strain", numbers(curve.nominal_strain)},
            {"nominal_stress_Pa", numbers(curve.nominal_stress_Pa)},
            {"turn", curve.turn}};
}

Json traits_object(const CrushTraits& traits) {
    Json object = Json::object();
    for (const TraitField& field : trait_fields())
        object[field.name] = number(traits.*field.member);
    return object;
}

Json guard_list(const std::vector<GuardResult>& guards) {
    Json list = Json::array();
    for (const GuardResult& guard : guards)
        list.push_back(Json{{"name", guard.name},
                            {"value", number(guard.value)},
                            {"limit", number(guard.limit)},
                            {"met", guard.met},
                            {"enforced", guard.enforced}});
    return list;
}

Json row_object(const GradeRow& row) {
    return {{"key", row.grade.key},
            {"cell", row.grade.cell},
            {"polymer", row.grade.polymer},
            {"relative_density", number(row.grade.relative_density)},
            {"strut_diameter_m", number(row.grade.strut_diameter_m)},
            {"speed_m_per_s", number(row.grade.speed_m_per_s)},
            {"strain_rate_per_s", number(row.grade.strain_rate_per_s)},
            {"density_kg_per_m3", number(row.density_kg_per_m3)},
            {"status", row.status},
            {"reason", row.reason},
            {"warning", row.warning},
            {"traits", traits_object(row.traits)},
            {"guards", guard_list(row.guards)},
            {"curve", curve_object(row.curve)}};
}

Json print_object(const PrintRecord& print) {
    return {{"drawn_relative_density", number(print.drawn_relative_density)},
            {"printed_relative_density", number(print.printed_relative_density)},
            {"diameter_offset_m", number(print.diameter_offset_m)},
            {"build_direction_factor", number(print.build_direction_factor)},
            {"void_fraction", number(print.void_fraction)}};
}

std::string printed(const Json& json) {
    return json.dump(2, ' ', false, Json::error_handler_t::replace);
}

} // namespace

std::string to_json(const CrushCurve& curve) {
    return printed(curve_object(curve));
}

std::string to_json(const CrushTraits& traits) {
    return printed(traits_object(traits));
}

std::string to_json(const std::vector<GuardResult>& guards) {
    return printed(guard_list(guards));
}

std::string to_json(const GradeTable& table) {
    Json rows = Json::array();
    for (const GradeRow& row : table.rows)
        rows.push_back(row_object(row));
    return printed(Json{{"schema", "cellgrade/grade-table"},
                        {"schema_version", {1, 0}},
                        {"caution", caution_text()},
                        {"study_name", table.study_name},
                        {"cases", std::move(rows)}});
}

std::string to_json(const CrushRecord& record, const CrushTraits& traits, const CrushCurve& curve) {
    return printed(Json{{"schema", "cellgrade/crush"},
                        {"schema_version", {1, 1}},
                        {"verdict", record.trusted() ? "trusted" : "untrusted"},
                        {"verdict_text", verdict_text(record)},
                        {"caution", caution_text()},
                        {"end", crush_end_name(record.end)},
                        {"gross_area_m2", number(record.gross_area_m2)},
                        {"height_m", number(record.height_m)},
                        {"mass_kg", number(record.mass_kg)},
                        {"relative_density", number(record.relative_density)},
                        {"print", print_object(record.print)},
                        {"steps", record.steps},
                        {"guards", guard_list(record.guards)},
                        {"notes", record.notes},
                        {"traits", traits_object(traits)},
                        {"curve", curve_object(curve)}});
}

} // namespace cellgrade
