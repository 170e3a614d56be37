// SPDX-License-Identifier: Apache-2.0
// Writes one file of each kind into the folder given: crush.h5, table.h5, frames.vtkhdf,
// mesh.vtkhdf, mesh.vtu, table.json. Content: tests/support/sample_results.hpp.
#include "solver/core/error.hpp"
#include "solver/core/publish.hpp"
#include "solver/results/crush_file.hpp"
#include "solver/results/grade_table_file.hpp"
#include "solver/results/json.hpp"
#include "solver/results/vtkhdf.hpp"
#include "solver/results/vtu.hpp"
#include "tests/support/sample_results.hpp"

#include <cstdio>

using namespace cellgrade;

namespace {

/// Frame k moves node i to z = i + 100 k and gives beam e the energy e + 10 k, so that a reader who
/// lands at a wrong offset sees it.
std::vector<CrushFrame> numbered_frames(const BeamMesh& mesh, int count) {
    std::vector<CrushFrame> frames;
    for (int k = 0; k < count; ++k) {
        CrushFrame frame{.nominal_strain = 0.1 * k, .time_s = 0.25 * k, .positions = mesh.nodes};
        for (std::size_t i = 0; i < frame.positions.size(); ++i)
            frame.positions[i].z() = static_cast<double>(i) + 100.0 * k;
        for (std::size_t e = 0; e < mesh.elements.size(); ++e) {
            frame.element_stored_energy_J.push_back(static_cast<double>(e) + 10.0 * k);
            frame.element_axial_force_N.push_back(-static_cast<double>(e) - 10.0 * k);
        }
        frames.push_back(frame);
    }
    return frames;
}

void write_all(const std::filesystem::path& folder) {
    const BeamMesh mesh = test::sample_mesh();
    write_crush_file(folder / "crush.h5", test::sample_result());
    write_grade_table(folder / "table.h5", test::sample_table(), test::sample_provenance());
    write_vtkhdf_frames(folder / "frames.vtkhdf", mesh, numbered_frames(mesh, 4));
    write_vtkhdf_mesh(folder / "mesh.vtkhdf", mesh);
    publish_text(folder / "mesh.vtu", vtu_text(mesh));
    publish_text(folder / "table.json", to_json(test::sample_table()));
}

} // namespace

int main(int count, char** arguments) {
    try {
        CELLGRADE_CHECK(count == 2, "usage: sample_files FOLDER");
        write_all(arguments[1]);
    } catch (const std::exception& e) {
        std::fprintf(stderr, "%s\n", e.what());
        return 2;
    }
    return 0;
}
