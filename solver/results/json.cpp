// SPDX-License-Identifier: Apache-2.0
#include "solver/results/json.hpp"

#include "solver/grades/case_fields.hpp"
#include "solver/grades/trait_fields.hpp"
#include "solver/homogenize/shear_traits.hpp"
#include "solver/results/crush_file.hpp"
#include "solver/results/json_number.hpp"
#include "solver/results/provenance.hpp"

#include <nlohmann/json.hpp>

#include <cmath>

namespace cellgrade {

namespace {

using Json = nlohmann::ordered_json;

Json numbers(const std::vector<double>& values) {
    Json list = Json::array();
    for (const double value : values)
        list.push_back(json_number(value));
    return list;
}

Json curve_object(const CrushCurve& curve) {
    Json object{{"nominal_strain", numbers(curve.nominal_strain)},
                {"nominal_stress_Pa", numbers(curve.nominal_stress_Pa)},
                {"turn", curve.turn}};
    if (!curve.shear_strain.empty()) {
        object["shear_strain"] = numbers(curve.shear_strain);
        object["shear_stress_Pa"] = numbers(curve.shear_stress_Pa);
    }
    return object;
}

Json traits_object(const CrushTraits& traits) {
    Json object = Json::object();
    for (const TraitField& field : trait_fields())
        object[field.name] = json_number(traits.*field.member);
    return object;
}

Json guard_list(const std::vector<GuardResult>& guards) {
    Json list = Json::array();
    for (const GuardResult& guard : guards)
        list.push_back(Json{{"name", guard.name},
                            {"value", json_number(guard.value)},
                            {"limit", json_number(guard.limit)},
                            {"met", guard.met},
                            {"enforced", guard.enforced}});
    return list;
}

Json shear_object(const ShearTraits& shear) {
    Json object = Json::object();
    for (const ShearField& field : shear_fields())
        object[field.name] = json_number(shear.*field.member);
    return object;
}

Json doubt_object(const TraitField& field, const TraitUncertainty& doubt) {
    Json object{{"units", field.units}, {"combined", json_number(doubt.combined())}};
    for (std::size_t p = 0; p < doubt_part_names.size(); ++p)
        object[doubt_part_names[p]] = json_number(doubt.parts[p]);
    object["extrapolated"] = json_number(doubt.extrapolated);
    object["mesh_order"] = json_number(doubt.mesh_order);
    object["settled_cells"] = json_number(doubt.settled_cells);
    object["missing"] = doubt.missing();
    return object;
}

Json uncertainty_object(const std::vector<TraitUncertainty>& list) {
    Json object = Json::object();
    for (std::size_t t = 0; t < list.size() && t < trait_fields().size(); ++t)
        object[trait_fields()[t].name] = doubt_object(trait_fields()[t], list[t]);
    return object;
}

Json row_object(const GradeRow& row) {
    Json object{{"key", row.grade.key}, {"cell", row.grade.cell}, {"polymer", row.grade.polymer}};
    for (const CaseField& field : case_fields())
        object[field.name] = json_number(row.grade.*field.member);
    object["direction"] = row.grade.direction;
    object["direction_text"] = direction_text(row.grade.direction);
    object["load"] = load_name(row.grade.load);
    object["density_kg_per_m3"] = json_number(row.density_kg_per_m3);
    object["polymer_modulus_Pa"] = json_number(row.polymer_modulus_Pa);
    object["status"] = row.status;
    object["reason"] = row.reason;
    object["warning"] = row.warning;
    object["outside_card"] = row.outside_card;
    object["traits"] = traits_object(row.traits);
    object["shear_traits"] = shear_object(row.shear);
    object["uncertainty"] = uncertainty_object(row.uncertainty);
    object["guards"] = guard_list(row.guards);
    object["curve"] = curve_object(row.curve);
    return object;
}

Json stiffness_object(const GradeStiffness& grade) {
    Json tensor = Json::array();
    for (int i = 0; i < 6; ++i) {
        Json line = Json::array();
        for (int j = 0; j < 6; ++j)
            line.push_back(json_number(grade.tensor_Pa(i, j)));
        tensor.push_back(std::move(line));
    }
    return {{"cell", grade.cell},
            {"relative_density", json_number(grade.relative_density)},
            {"direction", grade.direction},
            {"polymer_modulus_Pa", json_number(grade.polymer_modulus_Pa)},
            {"polymer_poisson", json_number(grade.polymer_poisson)},
            {"tensor_Pa", std::move(tensor)}};
}

Json scaling_object(const ScalingRow& row) {
    return {{"cell", row.cell},
            {"direction", row.direction},
            {"strain_rate_per_s", json_number(row.strain_rate_per_s)},
            {"temperature_C", json_number(row.temperature_C)},
            {"trait", row.trait},
            {"grades", row.grades},
            {"density_from", json_number(row.density_from)},
            {"density_to", json_number(row.density_to)},
            {"coefficient", json_number(row.coefficient)},
            {"coefficient_low", json_number(row.coefficient_low)},
            {"coefficient_high", json_number(row.coefficient_high)},
            {"exponent", json_number(row.exponent)},
            {"exponent_low", json_number(row.exponent_low)},
            {"exponent_high", json_number(row.exponent_high)},
            {"worst_share", json_number(row.worst_share)},
            {"theory", row.theory},
            {"theory_coefficient", json_number(row.theory_coefficient)},
            {"theory_exponent", json_number(row.theory_exponent)}};
}

Json print_object(const PrintRecord& print) {
    return {{"drawn_relative_density", json_number(print.drawn_relative_density)},
            {"printed_relative_density", json_number(print.printed_relative_density)},
            {"diameter_offset_m", json_number(print.diameter_offset_m)},
            {"build_direction_factor", json_number(print.build_direction_factor)},
            {"void_fraction", json_number(print.void_fraction)}};
}

std::string printed(const Json& json) {
    return json.dump(2, ' ', false, Json::error_handler_t::replace);
}

Json against_object(const DropAgainstTable& against) {
    Json traits = Json::array();
    for (const ComparedTrait& each : against.traits)
        traits.push_back({{"name", each.field->name},
                          {"drop", json_number(each.drop)},
                          {"table", json_number(each.table)},
                          {"difference_share", json_number(each.difference)}});
    return {{"table_bottomed", against.bottomed},
            {"largest_difference_share", json_number(against.largest_difference())},
            {"traits", std::move(traits)},
            {"notes", against.notes}};
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
    Json rows = Json::array(), stiffness = Json::array(), scaling = Json::array();
    for (const GradeRow& row : table.rows)
        rows.push_back(row_object(row));
    for (const GradeStiffness& grade : table.stiffness)
        stiffness.push_back(stiffness_object(grade));
    for (const ScalingRow& row : table.scaling)
        scaling.push_back(scaling_object(row));
    return printed(Json{{"schema", "cellgrade/grade-table"},
                        {"schema_version", {2, 1}},
                        {"caution", caution_text()},
                        {"study_name", table.study_name},
                        {"voigt_order", "xx yy zz yz xz xy, engineering shear strain"},
                        {"cases", std::move(rows)},
                        {"stiffness", std::move(stiffness)},
                        {"scaling", std::move(scaling)}});
}

std::string
to_json(const DropRecord& record, const DropInjury& injury, const DropAgainstTable* against) {
    Json traits = Json::object(), history = Json::object();
    for (const DropField& field : drop_fields())
        traits[field.name] = json_number(record.traits.*field.member);
    for (const DropHistoryField& field : drop_history_fields())
        history[field.name] = numbers(record.history.*field.member);
    Json document{{"schema", "cellgrade/drop"},
                  {"schema_version", {1, 1}},
                  {"verdict", record.trusted() ? "trusted" : "untrusted"},
                  {"verdict_text", drop_verdict(record)},
                  {"caution", caution_text()},
                  {"end", drop_end_name(record.end)},
                  {"past_densification", record.past_densification},
                  {"striker_mass_kg", json_number(record.striker_mass_kg)},
                  {"channel_class_Hz", json_number(record.channel_class_Hz)},
                  {"gross_area_m2", json_number(record.gross_area_m2)},
                  {"height_m", json_number(record.height_m)},
                  {"pad_mass_kg", json_number(record.pad_mass_kg)},
                  {"relative_density", json_number(record.relative_density)},
                  {"print", print_object(record.print)},
                  {"steps", record.steps},
                  {"guards", guard_list(record.guards)},
                  {"notes", record.notes},
                  {"traits", std::move(traits)},
                  {"injury",
                   {{"hic15", json_number(injury.hic15)},
                    {"hic36", json_number(injury.hic36)},
                    {"severity_index", json_number(injury.severity_index)}}},
                  {"history", std::move(history)}};
    if (against != nullptr)
        document["against_table"] = against_object(*against);
    return printed(document);
}

std::string to_json(const CrushRecord& record, const CrushTraits& traits, const CrushCurve& curve) {
    return printed(Json{{"schema", "cellgrade/crush"},
                        {"schema_version", {1, 1}},
                        {"verdict", record.trusted() ? "trusted" : "untrusted"},
                        {"verdict_text", verdict_text(record)},
                        {"caution", caution_text()},
                        {"end", crush_end_name(record.end)},
                        {"gross_area_m2", json_number(record.gross_area_m2)},
                        {"height_m", json_number(record.height_m)},
                        {"mass_kg", json_number(record.mass_kg)},
                        {"relative_density", json_number(record.relative_density)},
                        {"print", print_object(record.print)},
                        {"steps", record.steps},
                        {"guards", guard_list(record.guards)},
                        {"notes", record.notes},
                        {"traits", traits_object(traits)},
                        {"curve", curve_object(curve)}});
}

} // namespace cellgrade
