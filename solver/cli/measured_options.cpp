// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/measured_options.hpp"

#include "solver/core/error.hpp"
#include "solver/core/units.hpp"
#include "solver/homogenize/curve_correction.hpp"

#include <limits>

namespace cellgrade {

namespace {

CorrectedCurve
without_frame_of(const CrushCurve& curve, const MeasuredOptions& options, const std::string& file) {
    if (!options.size.gross_area_m2 || !options.size.height_m)
        throw Error(Fault::Input,
                    "the compliance of the frame needs the specimen's gross area and initial "
                    "height: --area-mm2 and --height-mm",
                    {.file = file, .key = {}});
    return without_frame(curve, {.compliance_m_per_N = *options.frame_compliance_m_per_N,
                                 .gross_area_m2 = *options.size.gross_area_m2,
                                 .height_m = *options.size.height_m});
}

std::string rows_note(Index rows) {
    return rows == 0 ? "" : fmt::format("; {} rows left out", rows);
}

} // namespace

SpecimenMass MeasuredOptions::mass() const {
    constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
    return {.relative_density = relative_density.value_or(unknown),
            .solid_density_kg_per_m3 = solid_density_kg_per_m3.value_or(unknown)};
}

void add_measured_options(CLI::App& command, MeasuredOptions& options) {
    const auto number = [&command](const char* name, std::optional<double>& value, double unit,
                                   const char* type, const char* text, const char* group) {
        command
            .add_option_function<double>(
                name, [&value, unit](double given) { value = given * unit; }, text)
            ->type_name(type)
            ->check(CLI::Range(std::numeric_limits<double>::min(), 1e12))
            ->group(group);
    };
    number("--area-mm2", options.size.gross_area_m2, units::mm2, "MM2",
           "initial gross area, for a file of forces", "Specimen");
    number("--height-mm", options.size.height_m, units::mm, "MM",
           "initial height, for a file of displacements", "Specimen");
    number("--relative-density", options.relative_density, 1.0, "SHARE", "for the energy per mass",
           "Specimen");
    number("--density-kg-per-m3", options.solid_density_kg_per_m3, 1.0, "KG_PER_M3",
           "of the solid polymer, for the energy per mass", "Specimen");
    number("--frame-compliance-mm-per-N", options.frame_compliance_m_per_N, units::mm, "MM_PER_N",
           "of the test frame: compliance x force is taken from the displacement (measured files)",
           "Corrections");
    command
        .add_flag("--toe-correction", options.toe_correction,
                  "the steepest straight part of the first rise, extended to zero stress, gives "
                  "the origin of strain (measured files)")
        ->group("Corrections");
}

MeasuredCurve corrected(ReadCurve read, const MeasuredOptions& options, const std::string& file) {
    MeasuredCurve out{
        .curve = std::move(read.curve), .corrections = {}, .notes = std::move(read.notes)};
    try {
        if (options.frame_compliance_m_per_N) {
            CorrectedCurve c = without_frame_of(out.curve, options, file);
            out.corrections.push_back(
                {"frame_compliance", c.strain_shift,
                 fmt::format("frame of {:.4g} mm/N: {:.4g} of strain taken at the largest stress{}",
                             *options.frame_compliance_m_per_N / units::mm, c.strain_shift,
                             rows_note(c.rows_left_out))});
            out.curve = std::move(c.curve);
        }
        if (options.toe_correction) {
            CorrectedCurve c = without_toe(out.curve);
            out.corrections.push_back(
                {"toe", c.strain_shift,
                 fmt::format("toe: origin of strain moved by {:.4g}, straight part of {:.4g} MPa "
                             "extended to zero stress (ISO 844, ASTM D1621, from memory){}",
                             c.strain_shift, c.slope_Pa / units::MPa, rows_note(c.rows_left_out))});
            out.curve = std::move(c.curve);
        }
    } catch (const Error& e) {
        if (!e.where().file.empty())
            throw;
        throw Error(e.fault(), e.message(), {.file = file, .key = {}});
    }
    return out;
}

} // namespace cellgrade
