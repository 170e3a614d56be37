// SPDX-License-Identifier: Apache-2.0
// Writes one file of each kind into the folder given: crush.h5, table.h5, grid.h5, table.json,
// table.csv, long.csv, curves.csv, frames.vtkhdf, mesh.vtkhdf, mesh.vtu. Content:
// tests/support/sample_results.hpp.
#include "solver/core/error.hpp"
#include "solver/core/publish.hpp"
#include "solver/results/crush_file.hpp"
#include "solver/results/csv.hpp"
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
    const GradeTable table = test::full_sample_table();
    write_grade_table(folder / "table.h5", table, test::sample_provenance());
    write_grade_table(folder / "grid.h5", test::grid_sample_table(), test::sample_provenance());
    write_vtkhdf_frames(folder / "frames.vtkhdf", mesh, numbered_frames(mesh, 4));
    write_vtkhdf_mesh(folder / "mesh.vtkhdf", mesh);
    publish_text(folder / "mesh.vtu", vtu_text(mesh));
    publish_text(folder / "table.json", to_json(table));
    publish_text(folder / "table.csv", traits_csv(table, {caution_text()}));
    publish_text(folder / "long.csv", long_traits_csv(table, {caution_text()}));
    publish_text(folder / "curves.csv", curves_csv(table, {caution_text()}));
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
