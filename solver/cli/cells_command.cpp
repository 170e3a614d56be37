// SPDX-License-Identifier: Apache-2.0
#include "meshes/catalogue/any_cell.hpp"
#include "meshes/catalogue/catalogue.hpp"
#include "meshes/catalogue/solid_catalogue.hpp"
#include "meshes/catalogue/strut_net.hpp"
#include "solver/cli/columns.hpp"
#include "solver/cli/commands.hpp"
#include "solver/core/units.hpp"

#include <nlohmann/json.hpp>

#include <algorithm>
#include <memory>
#include <string>
#include <utility>
#include <vector>

namespace cellgrade {

namespace {

using Json = nlohmann::ordered_json;

/// What a reader wants to know of a cell before choosing it.
struct CellFacts {
    double shortest_m = 0.0, longest_m = 0.0; ///< struts
    double joint_struts = 0.0;                ///< mean number of struts that meet at a joint
};

CellFacts facts_of(const StrutCell& cell) {
    CellFacts f{.shortest_m = length(cell, cell.struts.front())};
    for (const Strut& strut : cell.struts) {
        f.shortest_m = std::min(f.shortest_m, length(cell, strut));
        f.longest_m = std::max(f.longest_m, length(cell, strut));
    }
    f.joint_struts =
        2.0 * static_cast<double>(cell.struts.size()) / static_cast<double>(cell.nodes.size());
    return f;
}

Json cell_json(const StrutCell& cell, bool geometry) {
    const CellFacts f = facts_of(cell);
    Json j{{"name", cell.name},
           {"kind", "struts"},
           {"source", cell.source},
           {"nodes", cell.nodes.size()},
           {"struts", cell.struts.size()},
           {"struts_a_joint", f.joint_struts},
           {"shortest_strut_mm", f.shortest_m / units::mm},
           {"longest_strut_mm", f.longest_m / units::mm},
           {"cell_volume_mm3", cell_volume(cell) / (units::mm * units::mm * units::mm)}};
    if (!geometry)
        return j;
    for (int i = 0; i < 3; ++i)
        j["vectors_mm"].push_back({cell.lattice(0, i) / units::mm, cell.lattice(1, i) / units::mm,
                                   cell.lattice(2, i) / units::mm});
    for (const Vec3& node : cell.nodes)
        j["node_positions"].push_back({node.x(), node.y(), node.z()});
    for (const Strut& strut : cell.struts) {
        j["strut_nodes"].push_back({strut.a, strut.b});
        j["images"].push_back({strut.image_b.x(), strut.image_b.y(), strut.image_b.z()});
    }
    for (const double diameter : cell.diameters)
        j["diameters_mm"].push_back(diameter / units::mm);
    return j;
}

const char* side_name(SolidSide side) {
    return side == SolidSide::Wall ? "wall" : "skeleton";
}

Json cell_json(const LevelSetCell& cell) {
    const Vec3 size = cell.size / units::mm;
    return {{"name", cell.name},
            {"kind", "level_set"},
            {"source", cell.source},
            {"side", side_name(cell.side)},
            {"size_mm", {size.x(), size.y(), size.z()}}};
}

std::string cell_text(const LevelSetCell& cell) {
    const Vec3 size = cell.size / units::mm;
    return fmt::format("cell                {}\n"
                       "source              {}\n"
                       "size_mm             {:g} {:g} {:g}\n"
                       "solid side          {}\n",
                       cell.name, cell.source, size.x(), size.y(), size.z(), side_name(cell.side));
}

std::string solid_list_text() {
    std::vector<std::vector<std::string>> rows;
    for (const std::string& name : solid_catalogue_names()) {
        const LevelSetCell cell = find_level_set_cell(name);
        const Vec3 size = cell.size / units::mm;
        rows.push_back({name, side_name(cell.side),
                        fmt::format("{:g} x {:g} x {:g}", size.x(), size.y(), size.z())});
    }
    return columns_text({"solid cell ", "side ", "size_mm"}, rows);
}

std::string list_text() {
    std::vector<std::vector<std::string>> rows;
    for (const std::string& name : catalogue_names()) {
        const StrutCell cell = find_cell(name);
        const CellFacts f = facts_of(cell);
        rows.push_back({name, std::to_string(cell.nodes.size()), std::to_string(cell.struts.size()),
                        readable(f.joint_struts, 3), readable(f.shortest_m / units::mm),
                        readable(f.longest_m / units::mm)});
    }
    return columns_text({"cell ", "nodes", "struts", "struts_a_joint", "shortest_mm", "longest_mm"},
                        rows);
}

std::string cell_text(const StrutCell& cell) {
    const CellFacts f = facts_of(cell);
    const Mat3 a = cell.lattice / units::mm;
    std::string text = fmt::format("cell                {}\n", cell.name);
    if (!cell.source.empty())
        text += fmt::format("source              {}\n", cell.source);
    for (int i = 0; i < 3; ++i)
        text += fmt::format("{:<20}{:g} {:g} {:g}\n", i == 0 ? "vectors_mm" : "", a(0, i), a(1, i),
                            a(2, i));
    return text + fmt::format("nodes               {}\n"
                              "struts              {}\n"
                              "struts_a_joint      {}\n"
                              "strut_length_mm     {} to {}\n"
                              "own diameters       {}\n",
                              cell.nodes.size(), cell.struts.size(), readable(f.joint_struts, 3),
                              readable(f.shortest_m / units::mm), readable(f.longest_m / units::mm),
                              cell.diameters.empty() ? "no" : "yes");
}

int run_cells(const Session& session, const std::string& name) {
    const auto chosen = [&name] {
        return name.ends_with(".toml") ? read_any_cell(name) : find_any_cell(name);
    };
    if (!session.json) {
        print(name.empty()
                  ? list_text() + "\n" + solid_list_text()
                  : std::visit([](const auto& cell) { return cell_text(cell); }, chosen()));
        return exit_code::done;
    }
    Json document{{"schema", "cellgrade/cells"}, {"cells", Json::array()}};
    if (!name.empty()) {
        const AnyCell cell = chosen();
        if (const auto* struts = std::get_if<StrutCell>(&cell))
            document["cells"].push_back(cell_json(*struts, true));
        else
            document["cells"].push_back(cell_json(std::get<LevelSetCell>(cell)));
    } else {
        for (const std::string& known : catalogue_names())
            document["cells"].push_back(cell_json(find_cell(known), false));
        for (const std::string& known : solid_catalogue_names())
            document["cells"].push_back(cell_json(find_level_set_cell(known)));
    }
    print(document.dump(2) + "\n");
    return exit_code::done;
}

} // namespace

void add_cells_command(CLI::App& program, Session& session) {
    CLI::App& command = new_command(program, session, "cells",
                                    "List the built-in cells, or tell about one of them or a file.",
                                    "  cellgrade cells\n"
                                    "  cellgrade cells octet --json\n");
    auto name = std::make_shared<std::string>();
    command.add_option("CELL", *name, "cell of the catalogue, or a file that ends in .toml");
    command.callback([&session, name] {
        session.action = [&session, name] { return run_cells(session, *name); };
    });
}

} // namespace cellgrade
