// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/commands.hpp"
#include "solver/cli/trait_text.hpp"
#include "solver/core/units.hpp"
#include "solver/homogenize/crush_traits.hpp"
#include "solver/results/curve_csv.hpp"
#include "solver/results/json.hpp"

#include <nlohmann/json.hpp>

#include <limits>
#include <memory>
#include <optional>
#include <string>

namespace cellgrade {

namespace {

struct TraitsOptions {
    std::string file;
    std::optional<double> relative_density, density_kg_per_m3, area_mm2, height_mm;
};

int run_traits(const Session& session, const TraitsOptions& o) {
    SpecimenSize size;
    if (o.area_mm2)
        size.gross_area_m2 = *o.area_mm2 * units::mm * units::mm;
    if (o.height_mm)
        size.height_m = *o.height_mm * units::mm;
    const ReadCurve read = read_curve_csv(o.file, size);
    for (const std::string& note : read.notes)
        session.log().write(LogLevel::Phase, "{}: {}", o.file, note);
    constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
    const CrushTraits traits = crush_traits(
        read.curve, {.relative_density = o.relative_density.value_or(unknown),
                     .solid_density_kg_per_m3 = o.density_kg_per_m3.value_or(unknown)});
    if (session.json) {
        const nlohmann::ordered_json document{
            {"schema", "cellgrade/traits"},
            {"traits", nlohmann::ordered_json::parse(to_json(traits))},
            {"notes", read.notes}};
        print(document.dump(2) + "\n");
    } else {
        print(traits_text(traits));
    }
    return exit_code::done;
}

} // namespace

void add_traits_command(CLI::App& program, Session& session) {
    CLI::App& command = new_command(
        program, session, "traits", "Crush traits of a measured or computed curve in a CSV file.",
        "  cellgrade traits examples/05_measured_curve/curve.csv\n"
        "  cellgrade traits examples/05_measured_curve/frame.csv --area-mm2 2500 --height-mm 25 "
        "--relative-density 0.15 --density-kg-per-m3 1150\n");
    auto o = std::make_shared<TraitsOptions>();
    command
        .add_option("CURVE.csv", o->file,
                    "strain or displacement and stress or force, units in the column names")
        ->required();
    const auto number = [&command](const char* name, std::optional<double>& value, const char* unit,
                                   const char* text) {
        command.add_option(name, value, text)
            ->type_name(unit)
            ->check(CLI::Range(std::numeric_limits<double>::min(), 1e12))
            ->group("Specimen");
    };
    number("--area-mm2", o->area_mm2, "MM2", "initial gross area, for a file of forces");
    number("--height-mm", o->height_mm, "MM", "initial height, for a file of displacements");
    number("--relative-density", o->relative_density, "SHARE", "for the energy per mass");
    number("--density-kg-per-m3", o->density_kg_per_m3, "KG_PER_M3",
           "of the solid polymer, for the energy per mass");
    command.callback(
        [&session, o] { session.action = [&session, o] { return run_traits(session, *o); }; });
}

} // namespace cellgrade
