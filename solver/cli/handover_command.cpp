// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/cell_openness.hpp"
#include "solver/cli/commands.hpp"
#include "solver/cli/print_output.hpp"
#include "solver/cli/progress.hpp"
#include "solver/cli/study_cases.hpp"
#include "solver/cli/test_plan.hpp"
#include "solver/cli/version.hpp"
#include "solver/core/publish.hpp"
#include "solver/core/units.hpp"
#include "solver/elements/thread_count.hpp"
#include "solver/grades/law_input.hpp"
#include "solver/results/csv.hpp"
#include "solver/results/grade_table_file.hpp"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <memory>

namespace cellgrade {

namespace {

struct HandoverOptions {
    std::string plan, table, zone, folder;
    double cell_mm = 0.0;
};

constexpr Index coupon_cells = 5; // along an edge: fewer and its free sides decide

/// Four million triangles. Slicers and viewers hold some hundred bytes a triangle: 1 to 2 GB, what
/// an office computer has free (common practice, no source).
constexpr double most_stl_bytes = 200e6;

/// Rows of the grade, or of its two neighbours in density.
std::vector<const GradeRow*> rows_of(const GradeTable& table, const ChoiceGrade& grade) {
    double below = 0.0, above = HUGE_VAL;
    const auto is_of_it = [&](const GradeRow& row) {
        return row.status == "trusted" && row.grade.cell == grade.selection.cell &&
               row.grade.polymer == grade.selection.polymer &&
               row.grade.load == CaseLoad::Compression &&
               row.grade.direction == grade.selection.direction;
    };
    constexpr double same = 1e-9;
    for (const GradeRow& row : table.rows)
        if (is_of_it(row)) {
            const double rb = row.grade.relative_density;
            if (rb <= grade.relative_density * (1.0 + same))
                below = std::max(below, rb);
            if (rb >= grade.relative_density * (1.0 - same))
                above = std::min(above, rb);
        }
    std::vector<const GradeRow*> rows;
    for (const GradeRow& row : table.rows)
        if (is_of_it(row) &&
            (row.grade.relative_density == below || row.grade.relative_density == above))
            rows.push_back(&row);
    return rows;
}

GradeTable extract(const GradeTable& table, const std::vector<const GradeRow*>& rows) {
    GradeTable out{.study_name = table.study_name};
    for (const GradeRow* row : rows)
        out.rows.push_back(*row);
    return out;
}

/// The grades that a pad is made of, the struck side first: itself, or its layers.
std::vector<ChoiceGrade> parts_of(const GradeTable& table, const ChoiceGrade& grade) {
    if (grade.layers.empty())
        return {grade};
    std::vector<ChoiceGrade> parts;
    for (const PadLayer& layer : grade.layers) {
        ChoiceGrade part{.selection = grade.selection, .relative_density = layer.relative_density};
        part.density_kg_per_m3 =
            grade.density_kg_per_m3 * layer.relative_density / grade.relative_density;
        part.strut_diameter_m = rows_of(table, part).front()->grade.strut_diameter_m;
        parts.push_back(part);
    }
    return parts;
}

/// Densities of layers of cells from the lower face up; empty for one grade.
std::vector<double> layers_of_cells(const ChoiceGrade& grade, Index cells) {
    std::vector<double> densities;
    if (!grade.layers.empty())
        for (Index k = cells; k-- > 0;) { // the struck side is above
            const double depth = (k + 0.5) / cells;
            std::size_t layer = 0;
            for (double to = grade.layers[0].thickness_share;
                 to < depth && layer + 1 < grade.layers.size();)
                to += grade.layers[++layer].thickness_share;
            densities.push_back(grade.layers[layer].relative_density);
        }
    return densities;
}

/// Edge of the cell that has the grade's struts at its density [m].
double cell_edge(const HandoverOptions& o, const ChoiceGrade& grade) {
    if (o.cell_mm > 0.0)
        return o.cell_mm * units::mm;
    const std::optional<double> edge = edge_of_grade(grade);
    if (!edge)
        throw input_error("the table does not tell the size of the cell {}; give --cell-mm",
                          grade.selection.cell);
    return *edge;
}

/// Writes a block of the grade for the printer.
PrintedBlock write_block(const std::string& file,
                         const std::string& title,
                         const ChoiceGrade& grade,
                         double edge,
                         const std::array<Index, 3>& tiles,
                         const Log& log) {
    StudyConfig study;
    study.name = title;
    study.cell.name = grade.selection.cell;
    study.cell.scale = edge;
    study.specimen.tiles = tiles;
    study.specimen.layer_relative_densities = layers_of_cells(grade, tiles[2]);
    if (grade.layers.empty())
        study.specimen.relative_density = grade.relative_density;
    const std::variant<BeamMesh, SolidSpecimen> specimen = study_mesh(study, log);
    const auto* beams = std::get_if<BeamMesh>(&specimen);
    const SpecimenMesh mesh = beams != nullptr
                                  ? SpecimenMesh(*beams)
                                  : SpecimenMesh(std::get<SolidSpecimen>(specimen).mesh);
    PrintLabel label{.title = title,
                     .application = version_line(),
                     .cell = grade.selection.cell,
                     .relative_density = grade.relative_density};
    for (int axis = 0; axis < 3; ++axis)
        label.cell_size[axis] = box(mesh)[axis] / static_cast<double>(tiles[axis]);
    std::vector<std::string> files = {file + ".stl", file + ".3mf"};
    if (beams != nullptr)
        files.push_back(file + "-beams.3mf");
    const std::vector<std::string> written =
        write_print_files(files, mesh, label, log, most_stl_bytes);
    if (written.empty())
        throw input_error("{}.stl would be larger than {:.4g} MB; give a larger --cell-mm", file,
                          most_stl_bytes / 1e6);
    std::vector<std::string> names;
    for (const std::string& path : written)
        names.push_back(std::filesystem::path(path).filename().string());
    const double solid = beams != nullptr ? beams->solid_volume
                                          : std::get<SolidSpecimen>(specimen).mesh.solid_volume;
    return {.files = names,
            .grade = grade.label(),
            .tiles = tiles,
            .size = box(mesh),
            .mass_kg = solid * grade.density_kg_per_m3 / grade.relative_density};
}

const Zone& zone_named(const ZonePlan& plan, const std::string& name) {
    std::vector<std::string> names;
    for (const Zone& zone : plan.zones) {
        if (zone.name == name)
            return zone;
        names.push_back(zone.name);
    }
    throw input_error("--zone: no zone is called '{}'; there are {}", name, fmt::join(names, ", "));
}

/// Name of a part's file: "coupon", with its density where there are several.
std::string part_name(const char* what, const ChoiceGrade& part, std::size_t parts) {
    return parts == 1 ? std::string(what) : fmt::format("{}-{:.3g}", what, part.relative_density);
}

/// Writes the law of a part. @return the file's name, or why there is none
std::string write_law(const GradeTable& table,
                      const ChoiceGrade& grade,
                      const std::filesystem::path& folder,
                      const std::string& name) try {
    const GradeChoice choice{.cell = grade.selection.cell,
                             .relative_density = grade.relative_density};
    const PolymerCard card = find_card(chosen_row(table, choice).grade.polymer);
    write_card(fit_grade_law(law_input(table, choice, card)).card, (folder / name).string());
    return name;
} catch (const Error& e) {
    if (e.fault() != Fault::Input)
        throw;
    return fmt::format("no {} ({})", name, e.message());
}

int run_handover(const Session& session, const HandoverOptions& o) {
    use_threads(session.n_threads());
    const std::filesystem::path folder(o.folder);
    ZonePlan plan = read_zone_plan(o.plan);
    if (!o.zone.empty())
        plan.zones = {zone_named(plan, o.zone)};
    else if (plan.zones.size() > 1)
        throw input_error("--zone is needed: the plan has {} zones", plan.zones.size());
    const GradeTable table = read_grade_table(o.table);
    std::error_code code;
    std::filesystem::create_directories(folder, code);
    if (code)
        throw input_error("{}: {}", o.folder, code.message());
    require_writable_folder((folder / "test_plan.md").string());
    const ZoneChoice choice =
        choose_grades(table, plan, {.progress = {}, .describe = describe_openness}).front();
    const ChoiceGrade& grade = choice.ranked.front().grade;
    const std::vector<ChoiceGrade> parts = parts_of(table, grade);
    const double edge = cell_edge(o, parts.front());
    const auto in_folder = [&](const std::string& name) { return (folder / name).string(); };

    std::vector<const GradeRow*> rows;
    std::vector<PrintedBlock> coupons;
    std::string laws;
    for (const ChoiceGrade& part : parts) {
        for (const GradeRow* row : rows_of(table, part))
            if (std::find(rows.begin(), rows.end(), row) == rows.end())
                rows.push_back(row);
        coupons.push_back(write_block(in_folder(part_name("coupon", part, parts.size())),
                                      "coupon of " + part.label(), part, edge,
                                      {coupon_cells, coupon_cells, coupon_cells}, session.log()));
        laws +=
            ", " + write_law(table, part, folder, part_name("law", part, parts.size()) + ".toml");
    }
    const double side = std::sqrt(choice.zone.area_m2);
    const auto cells = [&](double length) {
        return std::max<Index>(1, static_cast<Index>(std::lround(length / edge)));
    };
    const Index high = cells(choice.ranked.front().thickness_m);
    if (high < static_cast<Index>(parts.size()))
        throw input_error(
            "a pad {} cells high has no room for {} layers of density; give --cell-mm", high,
            parts.size());
    const PrintedBlock pad =
        write_block(in_folder("pad"), fmt::format("pad of {}", choice.ranked.front().label()),
                    grade, edge, {cells(side), cells(side), high}, session.log());
    write_grade_table(in_folder("grade.h5"), extract(table, rows),
                      read_grade_table_provenance(o.table));
    publish_text(in_folder("grade.csv"), long_traits_csv(extract(table, rows), {caution_text()}));
    publish_text(in_folder("test_plan.md"), test_plan(plan, choice, rows, coupons));
    std::string blocks;
    for (const PrintedBlock& coupon : coupons)
        blocks += fmt::format("{}, {:.4g} mm, {:.3g} g; ", fmt::join(coupon.files, " "),
                              coupon.size.x() / units::mm, 1e3 * coupon.mass_kg);
    print(fmt::format(
        "{}: {}\n{}{}{}, {:.4g} x {:.4g} x {:.4g} mm, {:.3g} g, whole cells\nin {}: these, "
        "grade.h5, grade.csv, test_plan.md{}\n{}\n",
        choice.zone.name, choice.ranked.front().label(),
        choice.chosen ? "" : "IT DOES NOT PASS: the nearest of what was tried\n", blocks,
        fmt::join(pad.files, " "), pad.size.x() / units::mm, pad.size.y() / units::mm,
        pad.size.z() / units::mm, 1e3 * pad.mass_kg, o.folder, laws, caution_text()));
    return choice.chosen ? exit_code::done : exit_code::not_trusted;
}

} // namespace

void add_handover_command(CLI::App& program, Session& session) {
    CLI::App& command = new_command(
        program, session, "handover",
        "Hand the chosen grade of a zone on: coupon and pad to print, table, law, test plan.",
        "  cellgrade handover examples/18_choice/liner.toml grades.h5 --zone crown -o crown\n");
    auto o = std::make_shared<HandoverOptions>();
    command.add_option("ZONES.toml", o->plan, "zones, wearers and impacts of the product")
        ->required();
    command.add_option("GRADES.h5", o->table, "a grade table of `cellgrade table`")->required();
    command.add_option("--zone", o->zone, "which zone; may be left out where there is one")
        ->type_name("NAME");
    command
        .add_option("--cell-mm", o->cell_mm, "edge of the cell, where the table does not tell it")
        ->type_name("MM")
        ->check(CLI::Range(1e-3, 1e3));
    command.add_option("-o,--output", o->folder, "folder for the files; made when missing")
        ->type_name("FOLDER")
        ->required();
    command.callback(
        [&session, o] { session.action = [&session, o] { return run_handover(session, *o); }; });
}

} // namespace cellgrade
