// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/drop_against_table.hpp"

#include "solver/choice/drop_injury.hpp"
#include "solver/core/error.hpp"

#include <array>
#include <cmath>
#include <cstring>
#include <utility>

namespace cellgrade {

namespace {

constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

GradeCurves curves_of(const GradeTable& table, const GradeCase& grade) {
    return {table, {.cell = grade.cell, .polymer = grade.polymer, .direction = grade.direction}};
}

ImpactCase blow_of(const GradeCase& grade, const DropRecord& record, const DropStriker& striker) {
    ImpactCase blow{.name = "the drop",
                    .mass_kg = record.striker_mass_kg,
                    .speed_m_per_s = striker.speed_m_per_s,
                    .striker = striker.face == StrikerFace::Sphere
                                   ? Striker::sphere(striker.radius_m)
                                   : Striker::flat(),
                    .with_weight = striker.with_weight};
    if (!std::isnan(grade.temperature_C))
        blow.temperatures_C = {grade.temperature_C};
    return blow;
}

/// The drop's value of a trait that both know; NaN else.
double of_drop(const ImpactField& field, const DropRecord& record, const DropInjury& injury) {
    static constexpr std::array<std::pair<const char*, double DropInjury::*>, 3> injuries{
        {{"hic15", &DropInjury::hic15},
         {"hic36", &DropInjury::hic36},
         {"severity_index", &DropInjury::severity_index}}};
    for (const auto& [name, member] : injuries)
        if (std::strcmp(name, field.name) == 0)
            return injury.*member;
    for (const DropField& known : drop_fields())
        if (std::strcmp(known.name, field.name) == 0)
            return record.traits.*known.member;
    return unknown;
}

} // namespace

double DropAgainstTable::largest_difference() const {
    double largest = bottomed ? unknown : 0.0;
    for (const ComparedTrait& each : traits)
        if (each.field->member == &ImpactTraits::peak_acceleration_g ||
            each.field->member == &ImpactTraits::largest_depth_m)
            largest = std::isnan(each.difference) ? unknown
                                                  : std::max(largest, std::abs(each.difference));
    return largest;
}

void check_comparable(const GradeTable& table,
                      const GradeCase& grade,
                      const std::vector<PadLayer>& layers,
                      const DropStriker& striker) {
    if (striker.path_angle > 0.0)
        throw input_error("a slanting drop is not compared with a table: its columns are crushed "
                          "along the normal alone");
    const GradeCurves curves = curves_of(table, grade);
    if (layers.empty())
        (void)GradeResponse(curves, grade.relative_density, grade.temperature_C);
    else
        (void)layered_response(curves, layers, grade.temperature_C);
}

DropAgainstTable drop_against_table(const GradeTable& table,
                                    const GradeCase& grade,
                                    const std::vector<PadLayer>& layers,
                                    const DropRecord& record,
                                    const DropStriker& striker) {
    check_comparable(table, grade, layers, striker);
    const ImpactCase blow = blow_of(grade, record, striker);
    const GradeCurves curves = curves_of(table, grade);
    const GradePad pad{.relative_density = grade.relative_density,
                       .pad = {.thickness_m = record.height_m, .area_m2 = record.gross_area_m2},
                       .layers = layers};
    const ImpactAnswer answer =
        answer_impact(curves, pad, blow, table_caveats(table, curves.selection())).front();
    const DropInjury injury = drop_injury(record);
    DropAgainstTable out{.traits = {}, .bottomed = answer.bottomed(), .notes = answer.notes};
    for (const ImpactField& field : impact_fields()) {
        const double drop = of_drop(field, record, injury);
        const double from_table = answer.hits.front().traits.*field.member;
        if (std::isnan(drop) || std::isnan(from_table))
            continue;
        const double difference =
            record.trusted() && !out.bottomed ? (from_table - drop) / std::abs(drop) : unknown;
        out.traits.push_back({&field, drop, from_table, difference});
    }
    return out;
}

} // namespace cellgrade
