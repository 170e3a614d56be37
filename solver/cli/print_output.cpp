// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/print_output.hpp"

#include "meshes/print/print_surface.hpp"
#include "meshes/print/stl_file.hpp"
#include "meshes/print/three_mf_file.hpp"
#include "solver/core/error.hpp"

#include <variant>

namespace cellgrade {

bool is_print_file(const std::string& file) {
    return file.ends_with(".stl") || file.ends_with(".3mf");
}

void require_print_model(const std::string& file, bool is_solid) {
    if (is_solid || !is_print_file(file) || file.ends_with("-beams.3mf"))
        return;
    throw Error(Fault::Input,
                file.ends_with(".stl")
                    ? "beams have no surface; --model solid gives an STL, and beams a 3MF beam "
                      "lattice in a file that ends in -beams.3mf"
                    : "beams are written as a 3MF beam lattice, which not every reader takes: the "
                      "name must end in -beams.3mf; --model solid gives a plain 3MF",
                {.file = file, .key = {}});
}

void write_print_file(const std::string& file,
                      const SpecimenMesh& mesh,
                      const PrintLabel& label,
                      const Log& log) {
    if (const auto* beams = std::get_if<BeamMesh>(&mesh)) {
        write_3mf_lattice(file, *beams, label);
        log.write(LogLevel::Phase,
                  "{}: {} beams in millimetres by the beam lattice extension; readers without it "
                  "must refuse the file",
                  file, beams->elements.size());
        return;
    }
    const PrintSurface surface = print_surface(std::get<TetMesh>(mesh));
    if (file.ends_with(".stl"))
        write_stl(file, surface, label);
    else
        write_3mf(file, surface, label);
    log.write(LogLevel::Phase, "{}: closed surface of {} triangles, {:.6g} mm3, in millimetres",
              file, surface.triangles.size(), 1e9 * enclosed_volume(surface));
}

PrintCheck checked_print(const ImplicitSolid& solid, const PrintLimits& limits, const Log& log) {
    const PrintCheck found = check_print(solid, limits);
    for (const std::string& fault : print_faults(found, limits))
        log.write(LogLevel::Warning, "print: {}", fault);
    return found;
}

} // namespace cellgrade
