// SPDX-License-Identifier: Apache-2.0
#include "meshes/catalogue/lattice_table.hpp"

#include "solver/core/error.hpp"
#include "solver/core/keyed_file.hpp"
#include "solver/core/text_table.hpp"
#include "solver/core/units.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numeric>
#include <optional>
#include <set>
#include <utility>

namespace cellgrade {
namespace {

constexpr double same_place = 1e-6; // of the box

Error row_error(const std::string& file, const TextTable::Row& row, const std::string& what) {
    return {Fault::Input, what, {.file = file, .line = row.line, .column = 1}};
}

/// A table and where it came from.
struct NamedTable {
    TextTable table;
    std::string file;

    [[nodiscard]] std::optional<std::size_t> column(const std::string& name) const {
        const auto found = std::find(table.names.begin(), table.names.end(), name);
        if (found == table.names.end())
            return std::nullopt;
        return static_cast<std::size_t>(found - table.names.begin());
    }
    [[nodiscard]] Error header_error(const std::string& what) const {
        return {Fault::Input, what, {.file = file, .line = table.header_line, .column = 1}};
    }
    [[nodiscard]] double number(const TextTable::Row& row, std::size_t column) const {
        return cell_number(table, row, column, file);
    }
    [[nodiscard]] std::int64_t whole_number(const TextTable::Row& row, std::size_t column) const {
        const double value = number(row, column);
        if (value != std::floor(value) || std::abs(value) > 1e15)
            throw row_error(
                file, row,
                fmt::format("column '{}': {} is no whole number", table.names[column], value));
        return static_cast<std::int64_t>(value);
    }
};

NamedTable read_named(const std::string& text, const std::string& file, const char* columns) {
    NamedTable named{read_text_table(text, file), file};
    if (named.table.names.empty())
        throw row_error(file, named.table.rows.front(),
                        fmt::format("no header row; name the columns {}", columns));
    return named;
}

std::size_t needed(const NamedTable& t, const char* name, const char* columns) {
    if (const auto found = t.column(name))
        return *found;
    throw t.header_error(fmt::format("no column '{}'; the columns are {}", name, columns));
}

/// A length by a name that ends in its unit.
struct LengthColumn {
    std::size_t column = 0;
    double unit = units::mm;
};

std::optional<LengthColumn> length_column(const NamedTable& t, const std::string& stem) {
    if (const auto mm = t.column(stem + "_mm"))
        return LengthColumn{*mm, units::mm};
    if (const auto m = t.column(stem + "_m"))
        return LengthColumn{*m, 1.0};
    return std::nullopt;
}

struct Nodes {
    std::map<std::int64_t, Index> place; ///< of a number
    std::vector<Vec3> at;                ///< [m]
    std::vector<int> line;
};

constexpr const char* node_columns = "node, x_mm, y_mm, z_mm";
constexpr const char* strut_columns = "node_a, node_b and, if they differ, diameter_mm";

Nodes read_nodes(const NamedTable& t) {
    const std::size_t number = needed(t, "node", node_columns);
    std::array<LengthColumn, 3> axes;
    for (std::size_t k = 0; k < 3; ++k) {
        const std::string axis(1, static_cast<char>('x' + k));
        const auto found = length_column(t, axis);
        if (!found)
            throw t.header_error(
                fmt::format("no column '{}_mm'; the columns are {}", axis, node_columns));
        axes[k] = *found;
    }
    Nodes nodes;
    for (const TextTable::Row& row : t.table.rows) {
        const std::int64_t id = t.whole_number(row, number);
        const auto [earlier, is_new] = nodes.place.emplace(id, static_cast<Index>(nodes.at.size()));
        if (!is_new)
            throw row_error(t.file, row,
                            fmt::format("node {} is given before, in line {}", id,
                                        nodes.line[static_cast<std::size_t>(earlier->second)]));
        Vec3 x;
        for (int k = 0; k < 3; ++k)
            x[k] = t.number(row, axes[static_cast<std::size_t>(k)].column) *
                   axes[static_cast<std::size_t>(k)].unit;
        nodes.at.push_back(x);
        nodes.line.push_back(row.line);
    }
    if (nodes.at.size() < 2)
        throw t.header_error("at least two nodes are needed");
    return nodes;
}

/// Box of the nodes; moves its lowest corner to the origin. Refuses nodes in one place.
Vec3 boxed(Nodes& nodes, const NamedTable& t) {
    Vec3 low = nodes.at.front(), high = low;
    for (const Vec3& x : nodes.at) {
        low = low.cwiseMin(x);
        high = high.cwiseMax(x);
    }
    const Vec3 box = high - low;
    for (int k = 0; k < 3; ++k)
        if (!(box[k] > 0.0))
            throw t.header_error(fmt::format("all nodes have the same {}: a lattice with height "
                                             "and gross area is needed",
                                             "xyz"[k]));
    for (Vec3& x : nodes.at)
        x -= low;
    std::vector<std::size_t> order(nodes.at.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
        return std::pair(nodes.at[a].x(), a) < std::pair(nodes.at[b].x(), b);
    });
    const double near = same_place * box.maxCoeff();
    for (std::size_t i = 0; i < order.size(); ++i)
        for (std::size_t j = i + 1; j < order.size(); ++j) {
            const Vec3 gap = nodes.at[order[j]] - nodes.at[order[i]];
            if (gap.x() > near)
                break;
            if (gap.norm() <= near)
                throw Error(Fault::Input,
                            fmt::format("this node lies in the place of that of line {}; join "
                                        "them to one",
                                        std::min(nodes.line[order[i]], nodes.line[order[j]])),
                            {.file = t.file,
                             .line = std::max(nodes.line[order[i]], nodes.line[order[j]]),
                             .column = 1});
        }
    return box;
}

void read_struts(const NamedTable& t, const Nodes& nodes, StrutCell& lattice) {
    const std::array<std::size_t, 2> ends{needed(t, "node_a", strut_columns),
                                          needed(t, "node_b", strut_columns)};
    const std::optional<LengthColumn> diameter = length_column(t, "diameter");
    std::set<std::pair<Index, Index>> seen;
    for (const TextTable::Row& row : t.table.rows) {
        std::array<Index, 2> node{};
        for (std::size_t k = 0; k < 2; ++k) {
            const std::int64_t id = t.whole_number(row, ends[k]);
            const auto found = nodes.place.find(id);
            if (found == nodes.place.end())
                throw row_error(t.file, row, fmt::format("there is no node {}", id));
            node[k] = found->second;
        }
        if (node[0] == node[1])
            throw row_error(t.file, row, "a strut from a node to itself has no length");
        if (!seen.emplace(std::minmax(node[0], node[1])).second)
            throw row_error(t.file, row, "the strut between these nodes is given before");
        lattice.struts.push_back({.a = node[0], .b = node[1]});
        if (!diameter)
            continue;
        const double d = t.number(row, diameter->column) * diameter->unit;
        if (!(d > 0.0))
            throw row_error(
                t.file, row,
                fmt::format("diameter {} mm; a number above 0 is needed", d / units::mm));
        lattice.diameters.push_back(d);
    }
}

} // namespace

StrutCell parse_lattice_table(const std::string& nodes_text,
                              const std::string& nodes_file,
                              const std::string& struts_text,
                              const std::string& struts_file) {
    const NamedTable node_table = read_named(nodes_text, nodes_file, node_columns);
    const NamedTable strut_table = read_named(struts_text, struts_file, strut_columns);
    Nodes nodes = read_nodes(node_table);
    const Vec3 box = boxed(nodes, node_table);
    StrutCell lattice{.name = std::filesystem::path(nodes_file).stem().string(),
                      .source = fmt::format("{}, {}", nodes_file, struts_file),
                      .lattice = box.asDiagonal(),
                      .is_whole = true};
    for (const Vec3& x : nodes.at)
        lattice.nodes.push_back(x.cwiseQuotient(box));
    read_struts(strut_table, nodes, lattice);
    return lattice;
}

StrutCell read_lattice_table(const std::filesystem::path& nodes,
                             const std::filesystem::path& struts) {
    return parse_lattice_table(read_text_file(nodes), nodes.string(), read_text_file(struts),
                               struts.string());
}

} // namespace cellgrade
