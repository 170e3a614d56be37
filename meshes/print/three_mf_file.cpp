// SPDX-License-Identifier: Apache-2.0
#include "meshes/print/three_mf_file.hpp"

#include "meshes/print/zip_writer.hpp"
#include "solver/core/publish.hpp"
#include "solver/core/units.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <iterator>
#include <map>
#include <tuple>

namespace cellgrade {

namespace {

constexpr const char* content_types =
    R"(<?xml version="1.0" encoding="UTF-8"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">
<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>
<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>
</Types>
)";

constexpr const char* relationships =
    R"(<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">
<Relationship Target="/3D/3dmodel.model" Id="rel0" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/>
</Relationships>
)";

constexpr const char* core_namespace =
    R"( xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02")";
constexpr const char* lattice_namespace =
    R"( xmlns:b="http://schemas.microsoft.com/3dmanufacturing/beamlattice/2017/02")"
    R"( requiredextensions="b")";
constexpr std::size_t piece_bytes = std::size_t{1} << 20U;

std::string escaped(const std::string& text) {
    std::string out;
    for (const char c : text)
        switch (c) {
        case '&':
            out += "&amp;";
            break;
        case '<':
            out += "&lt;";
            break;
        case '>':
            out += "&gt;";
            break;
        case '"':
            out += "&quot;";
            break;
        default: // XML 1.0 has no place for other control characters
            out += static_cast<unsigned char>(c) < 0x20U ? ' ' : c;
        }
    return out;
}

/// Text of the model, handed on in pieces.
class ModelText {
public:
    explicit ModelText(ZipWriter& zip) : zip_(zip) {}

    template <class... Args>
    void add(fmt::format_string<Args...> text, Args&&... args) {
        fmt::format_to(std::back_inserter(text_), text, std::forward<Args>(args)...);
        if (text_.size() >= piece_bytes)
            flush();
    }
    void add_point(const std::array<float, 3>& x) {
        add("<vertex x=\"{}\" y=\"{}\" z=\"{}\"/>\n", x[0], x[1], x[2]);
    }
    void flush() {
        zip_.write(text_);
        text_.clear();
    }

private:
    ZipWriter& zip_;
    std::string text_;
};

void add_metadata(ModelText& text, const std::string& name, const std::string& value) {
    text.add("<metadata name=\"{}\">{}</metadata>\n", name, escaped(value));
}

/// The package around what `mesh` writes inside the element of that name.
void write_package(const std::filesystem::path& path,
                   const PrintLabel& label,
                   const char* extension,
                   const std::function<void(ModelText&)>& mesh) {
    publish_by_name(path, [&](const std::filesystem::path& partial) {
        ZipWriter zip(partial, path);
        zip.begin_part("[Content_Types].xml");
        zip.write(content_types);
        zip.begin_part("_rels/.rels");
        zip.write(relationships);
        zip.begin_part("3D/3dmodel.model");
        ModelText text(zip);
        text.add("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                 "<model unit=\"millimeter\" xml:lang=\"en-US\"{}{} "
                 "xmlns:cellgrade=\"urn:cellgrade:part\">\n",
                 core_namespace, extension);
        add_metadata(text, "Title", label.title);
        add_metadata(text, "Description", print_caution);
        add_metadata(text, "Application", label.application);
        add_metadata(text, "cellgrade:cell", label.cell);
        add_metadata(text, "cellgrade:relative_density",
                     fmt::format("{:.6g}", label.relative_density));
        const Vec3 size = label.cell_size / units::mm;
        add_metadata(text, "cellgrade:cell_size_mm",
                     fmt::format("{:.6g} {:.6g} {:.6g}", size.x(), size.y(), size.z()));
        text.add("<resources>\n<object id=\"1\" type=\"model\">\n<mesh>\n");
        mesh(text);
        text.add("</mesh>\n</object>\n</resources>\n"
                 "<build>\n<item objectid=\"1\"/>\n</build>\n</model>\n");
        text.flush();
        zip.close();
    });
}

/// Ends of beams in their place, each point once: a node, or the image of one.
class BeamEnds {
public:
    explicit BeamEnds(const BeamMesh& mesh) : mesh_(mesh) {}

    Index point(Index node, const Vec3i& image) {
        const auto [known, is_new] = numbers_.try_emplace({node, image.x(), image.y(), image.z()},
                                                          static_cast<Index>(places_.size()));
        if (is_new)
            places_.emplace_back(mesh_.nodes[node] + image.cast<double>().cwiseProduct(mesh_.box));
        return known->second;
    }
    [[nodiscard]] const std::vector<Vec3>& places() const { return places_; }

private:
    const BeamMesh& mesh_;
    std::map<std::tuple<Index, int, int, int>, Index> numbers_;
    std::vector<Vec3> places_;
};

} // namespace

void write_3mf(const std::filesystem::path& path,
               const PrintSurface& surface,
               const PrintLabel& label) {
    write_package(path, label, "", [&](ModelText& text) {
        text.add("<vertices>\n");
        for (const std::array<float, 3>& x : surface.points)
            text.add_point(x);
        text.add("</vertices>\n<triangles>\n");
        for (const std::array<Index, 3>& t : surface.triangles)
            text.add("<triangle v1=\"{}\" v2=\"{}\" v3=\"{}\"/>\n", t[0], t[1], t[2]);
        text.add("</triangles>\n");
    });
}

void write_3mf_lattice(const std::filesystem::path& path,
                       const BeamMesh& mesh,
                       const PrintLabel& label) {
    BeamEnds ends(mesh);
    std::vector<std::array<Index, 2>> beams;
    double thickest = 0.0, shortest = mesh.box.norm();
    Vec3 lowest = Vec3::Zero();
    for (const BeamElement& e : mesh.elements) {
        beams.push_back({ends.point(e.a, Vec3i::Zero()), ends.point(e.b, e.image_b)});
        thickest = std::max(thickest, e.radius);
        const Vec3 &a = ends.places()[beams.back()[0]], &b = ends.places()[beams.back()[1]];
        shortest = std::min(shortest, (b - a).norm());
        lowest = lowest.cwiseMin(a.cwiseMin(b) - Vec3::Constant(e.radius));
    }
    write_package(path, label, lattice_namespace, [&](ModelText& text) {
        text.add("<vertices>\n");
        for (const Vec3& place : ends.places()) {
            const Vec3 x = (place - lowest) / units::mm;
            text.add_point(
                {static_cast<float>(x.x()), static_cast<float>(x.y()), static_cast<float>(x.z())});
        }
        // An empty list of triangles is what the extension allows; shorter beams than minlength
        // may be dropped by readers, so it is below the shortest.
        text.add("</vertices>\n<triangles/>\n<b:beamlattice minlength=\"{:.6g}\" radius=\"{}\" "
                 "cap=\"sphere\">\n<b:beams>\n",
                 0.5 * shortest / units::mm, static_cast<float>(thickest / units::mm));
        for (std::size_t i = 0; i < beams.size(); ++i)
            text.add("<b:beam v1=\"{}\" v2=\"{}\" r1=\"{}\"/>\n", beams[i][0], beams[i][1],
                     static_cast<float>(mesh.elements[i].radius / units::mm));
        text.add("</b:beams>\n</b:beamlattice>\n");
    });
}

} // namespace cellgrade
