// SPDX-License-Identifier: Apache-2.0
#include "meshes/catalogue/catalogue.hpp"

#include "meshes/catalogue/net_check.hpp"
#include "solver/core/keyed_file.hpp"
#include "solver/core/units.hpp"

#include <Eigen/LU>

#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>

namespace cellgrade {
namespace {

constexpr double same_place = 1e-5;      ///< of a lattice vector
constexpr std::size_t most_items = 5000; ///< nodes or struts; the checks are quadratic
constexpr Index farthest_image = 1000;

Error fault_at(const KeyedTable& t, const char* key, std::size_t i, const std::string& message) {
    return {Fault::Input, message, t.where(key, i)};
}

Mat3 read_lattice(const KeyedTable& t) {
    if (t.has("size_mm") && t.has("vectors_mm"))
        throw t.error("vectors_mm", "size_mm is given too; only one of the two is allowed");
    Mat3 lattice = Mat3::Zero();
    if (t.has("vectors_mm")) {
        const auto rows = t.rows("vectors_mm", 3);
        if (rows.size() != 3)
            throw t.error("vectors_mm", fmt::format("3 vectors are needed, {} given", rows.size()));
        for (std::size_t k = 0; k < 3; ++k)
            lattice.col(static_cast<Index>(k)) =
                units::mm * Vec3(rows[k][0], rows[k][1], rows[k][2]);
        const double product = lattice.colwise().norm().prod();
        if (std::abs(lattice.determinant()) <= 1e-6 * product || product == 0.0)
            throw t.error("vectors_mm", "the three vectors lie in one plane; they must span space");
        return lattice;
    }
    const auto size = t.numbers("size_mm");
    if (size.size() != 3)
        throw t.error("size_mm", fmt::format("3 lengths are needed, {} given", size.size()));
    for (std::size_t k = 0; k < 3; ++k) {
        if (size[k] <= 0.0)
            throw fault_at(t, "size_mm", k,
                           fmt::format("{} is not allowed; a number above 0 is needed", size[k]));
        lattice(static_cast<Index>(k), static_cast<Index>(k)) = units::mm * size[k];
    }
    return lattice;
}

/// The nodes of a file after wrapping: which node of the cell each one is, in which cell.
struct WrappedNodes {
    std::vector<Vec3> unique;
    std::vector<std::size_t> first; ///< number in the file of each unique node
    std::vector<Index> which;       ///< one a node of the file
    std::vector<Vec3i> cell;        ///< one a node of the file
};

void add_node(WrappedNodes& nodes, const Vec3& x) {
    for (std::size_t u = 0; u < nodes.unique.size(); ++u) {
        const Vec3 gap = x - nodes.unique[u];
        const Vec3 whole = gap.array().round();
        if ((gap - whole).cwiseAbs().maxCoeff() < same_place) {
            nodes.which.push_back(static_cast<Index>(u));
            nodes.cell.push_back(whole.cast<int>());
            return;
        }
    }
    const Vec3 whole = (x.array() + same_place).floor();
    nodes.first.push_back(nodes.which.size());
    nodes.which.push_back(static_cast<Index>(nodes.unique.size()));
    nodes.cell.push_back(whole.cast<int>());
    nodes.unique.emplace_back((x - whole).cwiseMax(0.0));
}

WrappedNodes read_nodes(const KeyedTable& t) {
    const auto rows = t.rows("nodes", 3);
    if (rows.empty() || rows.size() > most_items)
        throw t.error("nodes",
                      fmt::format("1 to {} nodes are needed, {} given", most_items, rows.size()));
    WrappedNodes nodes;
    for (std::size_t k = 0; k < rows.size(); ++k) {
        const Vec3 x(rows[k][0], rows[k][1], rows[k][2]);
        if (x.cwiseAbs().maxCoeff() > farthest_image)
            throw fault_at(t, "nodes", k, "fractional coordinates must lie within -1000 and 1000");
        add_node(nodes, x);
        for (std::size_t m = 0; m < k; ++m)
            if (nodes.which[m] == nodes.which[k] && nodes.cell[m] == nodes.cell[k])
                throw fault_at(t, "nodes", k,
                               fmt::format("node {} has the place of node {}; give it once", k, m));
    }
    return nodes;
}

std::vector<Vec3i> read_images(const KeyedTable& t, std::size_t n_struts) {
    std::vector<Vec3i> images(n_struts, Vec3i::Zero());
    if (!t.has("images"))
        return images;
    const auto rows = t.integer_rows("images", 3);
    if (rows.size() != n_struts)
        throw t.error("images", fmt::format("one a strut is needed: {}, but {} are given", n_struts,
                                            rows.size()));
    for (std::size_t s = 0; s < n_struts; ++s)
        for (std::size_t k = 0; k < 3; ++k) {
            if (std::abs(std::int64_t{rows[s][k]}) > farthest_image)
                throw fault_at(t, "images", s, "cell offsets must lie within -1000 and 1000");
            images[s][static_cast<Index>(k)] = rows[s][k];
        }
    return images;
}

std::vector<double> read_diameters(const KeyedTable& t, std::size_t n_struts) {
    if (!t.has("diameters_mm"))
        return {};
    std::vector<double> diameters = t.numbers("diameters_mm");
    if (diameters.size() != n_struts)
        throw t.error("diameters_mm", fmt::format("one a strut is needed: {}, but {} are given",
                                                  n_struts, diameters.size()));
    for (std::size_t s = 0; s < n_struts; ++s) {
        if (diameters[s] <= 0.0)
            throw fault_at(
                t, "diameters_mm", s,
                fmt::format("{} is not allowed; a number above 0 is needed", diameters[s]));
        diameters[s] *= units::mm;
    }
    return diameters;
}

/// The strut with its first end in the home cell, written the same way from either end.
Strut canonical(Strut s) {
    const auto key = [](const Vec3i& v) { return std::tuple(v.x(), v.y(), v.z()); };
    if (s.a > s.b || (s.a == s.b && key(s.image_b) < key(-s.image_b))) {
        std::swap(s.a, s.b);
        s.image_b = -s.image_b;
    }
    return s;
}

struct RawStruts {
    std::vector<std::vector<Index>> ends;
    std::vector<Vec3i> images;
    std::vector<double> diameters;
};

Strut wrapped_strut(const KeyedTable& t,
                    const WrappedNodes& nodes,
                    const RawStruts& raw,
                    std::size_t s) {
    for (const Index end : raw.ends[s])
        if (end < 0 || end >= static_cast<Index>(nodes.which.size()))
            throw fault_at(t, "struts", s,
                           fmt::format("there is no node {}; nodes are numbered 0 to {}", end,
                                       nodes.which.size() - 1));
    const Index a = raw.ends[s][0];
    const Index b = raw.ends[s][1];
    const Strut strut{.a = nodes.which[a],
                      .b = nodes.which[b],
                      .image_b = nodes.cell[b] + raw.images[s] - nodes.cell[a]};
    if (strut.a == strut.b && strut.image_b == Vec3i::Zero())
        throw fault_at(t, "struts", s,
                       fmt::format("strut {} has no length: both ends are at node {}", s, a));
    return strut;
}

/// Fills struts and diameters; @return the number in the file of each strut kept.
std::vector<std::size_t>
read_struts(const KeyedTable& t, const WrappedNodes& nodes, StrutCell& cell) {
    RawStruts raw{.ends = t.integer_rows("struts", 2)};
    if (raw.ends.empty() || raw.ends.size() > most_items)
        throw t.error("struts", fmt::format("1 to {} struts are needed, {} given", most_items,
                                            raw.ends.size()));
    raw.images = read_images(t, raw.ends.size());
    raw.diameters = read_diameters(t, raw.ends.size());
    std::map<std::tuple<Index, Index, int, int, int>, std::size_t> seen;
    std::vector<std::size_t> kept;
    for (std::size_t s = 0; s < raw.ends.size(); ++s) {
        const Strut strut = wrapped_strut(t, nodes, raw, s);
        const Strut c = canonical(strut);
        const auto [place, is_new] =
            seen.emplace(std::tuple(c.a, c.b, c.image_b.x(), c.image_b.y(), c.image_b.z()), s);
        if (is_new) {
            kept.push_back(s);
            cell.struts.push_back(strut);
            if (!raw.diameters.empty())
                cell.diameters.push_back(raw.diameters[s]);
        } else if (!raw.diameters.empty() && raw.diameters[place->second] != raw.diameters[s]) {
            throw fault_at(
                t, "diameters_mm", s,
                fmt::format("strut {} repeats strut {} with another diameter", s, place->second));
        }
    }
    return kept;
}

void check_all_nodes_used(const KeyedTable& t, const WrappedNodes& nodes, const StrutCell& cell) {
    std::vector<bool> used(nodes.unique.size(), false);
    for (const Strut& strut : cell.struts)
        used[strut.a] = used[strut.b] = true;
    for (std::size_t u = 0; u < used.size(); ++u)
        if (!used[u])
            throw fault_at(t, "nodes", nodes.first[u],
                           fmt::format("node {} has no strut", nodes.first[u]));
}

StrutCell to_cell(const KeyedTable& t, const std::string& default_name) {
    StrutCell cell;
    if (t.integer_or("schema", 1) != 1)
        throw t.error("schema", "only schema 1 is known");
    cell.name = t.text_or("name", default_name);
    cell.source = t.text_or("source", "");
    // asked for here, so that a misspelt key is told as such and not as the lack of another
    for (const char* key : {"size_mm", "vectors_mm", "images", "diameters_mm"})
        (void)t.has(key);
    if (t.has("nodes") && t.has("struts"))
        t.finish();
    cell.lattice = read_lattice(t);
    WrappedNodes nodes = read_nodes(t);
    const std::vector<std::size_t> kept = read_struts(t, nodes, cell);
    check_all_nodes_used(t, nodes, cell);
    cell.nodes = nodes.unique;
    for (auto* find : {&find_loose_parts, &find_crossing})
        if (const auto fault = find(cell)) {
            if (fault->node != no_index)
                throw fault_at(t, "nodes", nodes.first[fault->node], fault->message);
            if (fault->strut != no_index)
                throw fault_at(t, "struts", kept[fault->strut], fault->message);
            throw t.error("struts", fault->message);
        }
    return cell;
}

} // namespace

StrutCell parse_strut_cell(std::string_view text, const std::string& name) {
    return to_cell(parse_keyed_text(text, name), name);
}

StrutCell read_strut_cell(const std::filesystem::path& path) {
    return to_cell(read_keyed_file(path), path.stem().string());
}

} // namespace cellgrade
