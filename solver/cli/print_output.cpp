// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/print_output.hpp"

#include "meshes/print/print_surface.hpp"
#include "meshes/print/stl_file.hpp"
#include "meshes/print/strut_surface.hpp"
#include "meshes/print/three_mf_file.hpp"
#include "meshes/solids/tiled_solid.hpp"
#include "solver/core/error.hpp"
#include "solver/core/units.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <variant>

namespace cellgrade {

namespace {

constexpr double most_boxes = 1e6;

PrintCheck
check_cell(const AnyCell& cell, double amount, double fillet_radius, const PrintLimits& limits) {
    const SolidPlan plan{
        .periodic = {true, true, true}, .amount = amount, .fillet_radius = fillet_radius};
    const ImplicitSolid solid =
        std::visit([&](const auto& c) { return tiled_solid(c, plan).solid; }, cell);
    const double spacing =
        std::max(0.2 * solid.narrowest, std::cbrt(solid.box.prod() / most_boxes));
    return check_print(solid, limits, spacing);
}

void tell_surface(const std::string& file, const PrintSurface& surface, const Log& log) {
    const std::vector<double> shells = shell_volumes(surface);
    const double whole = enclosed_volume(surface);
    const auto n_voids =
        std::count_if(shells.begin(), shells.end(), [](double volume) { return volume < 0.0; });
    const auto n_pieces = static_cast<std::ptrdiff_t>(shells.size()) - n_voids;
    log.write(LogLevel::Phase, "{}: closed surface of {} triangles, {:.6g} mm3, in millimetres",
              file, surface.triangles.size(), whole / std::pow(units::mm, 3));
    if (n_pieces > 1)
        log.write(LogLevel::Warning,
                  "{}: the part is in {} pieces, {:.2g} % of it beside the largest, which hang "
                  "together over periodic sides alone; sides = \"free\" drops them",
                  file, n_pieces,
                  100.0 * (1.0 - *std::max_element(shells.begin(), shells.end()) / whole));
    if (n_voids > 0) {
        double closed = 0.0;
        for (const double volume : shells)
            closed -= std::min(volume, 0.0);
        log.write(LogLevel::Warning,
                  "{}: {} voids are closed in, {:.3g} mm3, {:.2g} % of the part's own volume; "
                  "powder or resin cannot leave them",
                  file, n_voids, closed / std::pow(units::mm, 3), 100.0 * closed / whole);
    }
}

constexpr double stl_bytes = 50.0; ///< a triangle
/// Seams thinned out leave at least this share of triangles: a fifth to two fifths were measured.
constexpr double least_left = 0.2;

/// The closed surface of a specimen; empty where its STL would be larger than allowed.
PrintSurface surface_of(const SpecimenMesh& mesh, const Vec3& cell_size, double most_stl_bytes) {
    PrintSurface surface;
    if (const TetMesh* tets = solid(mesh)) {
        surface = print_surface(*tets);
    } else {
        const TiledStruts tiled = tile_struts(*beams(mesh), cell_size);
        if (least_left * stl_bytes * static_cast<double>(tiled.n_triangles()) > most_stl_bytes)
            return {};
        surface = strut_surface(tiled);
    }
    return stl_bytes * static_cast<double>(surface.triangles.size()) > most_stl_bytes
               ? PrintSurface{}
               : surface;
}

bool is_lattice_file(const std::string& file) {
    return file.ends_with("-beams.3mf");
}

void write_lattice(const std::string& file,
                   const BeamMesh& beams,
                   const PrintLabel& label,
                   const Log& log) {
    write_3mf_lattice(file, beams, label);
    log.write(LogLevel::Phase,
              "{}: {} beams in millimetres by the beam lattice extension; readers without it must "
              "refuse the file",
              file, beams.elements.size());
}

} // namespace

bool is_print_file(const std::string& file) {
    return file.ends_with(".stl") || file.ends_with(".3mf");
}

std::vector<std::string> write_print_files(const std::vector<std::string>& files,
                                           const SpecimenMesh& mesh,
                                           const PrintLabel& label,
                                           const Log& log,
                                           double most_stl_bytes) {
    std::vector<std::string> written;
    std::optional<PrintSurface> surface;
    for (const std::string& file : files) {
        if (const auto* beams = std::get_if<BeamMesh>(&mesh); beams && is_lattice_file(file)) {
            write_lattice(file, *beams, label, log);
            written.push_back(file);
            continue;
        }
        if (!surface)
            surface = surface_of(mesh, label.cell_size, most_stl_bytes);
        if (surface->triangles.empty()) {
            log.write(LogLevel::Warning,
                      "{}: not written: as STL it would be larger than {:.4g} MB", file,
                      most_stl_bytes / 1e6);
            continue;
        }
        if (file.ends_with(".stl"))
            write_stl(file, *surface, label);
        else
            write_3mf(file, *surface, label);
        tell_surface(file, *surface, log);
        written.push_back(file);
    }
    return written;
}

PrintCheck check_cells(const AnyCell& cell,
                       const SpecimenChoice& choice,
                       const SolidSpecimen& specimen,
                       const PrintLimits& limits,
                       const Log& log) {
    const auto [thin, dense] =
        std::minmax_element(specimen.amounts.begin(), specimen.amounts.end());
    PrintCheck found = check_cell(cell, *thin, choice.fillet_radius, limits);
    if (*dense > *thin) {
        const PrintCheck upper = check_cell(cell, *dense, choice.fillet_radius, limits);
        found.opening = upper.opening;
        found.n_closed_pores = upper.n_closed_pores;
        found.closed_share = upper.closed_share;
    }
    const bool measured = found.narrowest && found.resolves(found.narrowest->width);
    PrintLimits told = limits;
    if (!measured && found.solid_share < 1.0) {
        const double estimate = specimen.solid.narrowest;
        found.narrowest = NarrowPlace{.width = estimate};
        told.least_solid = 0.0; // the grid has nothing to say of it
        if (estimate < limits.least_solid)
            log.write(LogLevel::Warning,
                      "print: the solid is about {:.3g} mm thin by estimate, below the least "
                      "printable {:.3g} mm; raise the density or the cell size",
                      estimate / units::mm, limits.least_solid / units::mm);
    }
    for (const std::string& fault : print_faults(found, told))
        log.write(LogLevel::Warning, "print, in one cell: {}", fault);
    return found;
}

} // namespace cellgrade
