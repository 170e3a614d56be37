// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/study_stiffness.hpp"

#include "meshes/catalogue/strut_net.hpp"
#include "solver/core/blob_file.hpp"
#include "solver/core/error.hpp"
#include "solver/homogenize/polymer_modulus.hpp"
#include "solver/homogenize/solid_stiffness.hpp"
#include "solver/homogenize/stiffness.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

constexpr const char* schema = "grade-stiffness/1";

Mat6 frame_tensor(const StudyCase& c, const StrutCell& cell, double youngs, double poisson) {
    const std::vector<double> diameters =
        strut_diameters(cell, c.grade.strut_diameter_m + c.print.diameter_offset_m);
    const SpecimenChoice& s = c.study.specimen;
    return elastic_stiffness(cell, diameters, section_moduli(youngs, poisson),
                             {.joints = s.stiffened_joints ? Joints::Stiffened : Joints::None,
                              .stiffness = s.joint_stiffness})
        .C;
}

Mat6 solid_tensor(const StudyCase& c, const AnyCell& cell, double youngs, double poisson) {
    SpecimenChoice one = c.study.specimen;
    one.tiles = {1, 1, 1};
    one.periodic_sides = true;
    one.ends = SpecimenEnds::Periodic;
    const SolidSpecimen endless = build_solid(one, cell, c.print.diameter_offset_m, {});
    return solid_stiffness(endless.mesh, youngs, poisson).C;
}

Mat6 tensor_of(const StudyCase& c, double youngs, double poisson) {
    const AnyCell cell = study_cell(c.study);
    if (beams(c.setup.mesh) == nullptr)
        return solid_tensor(c, cell, youngs, poisson);
    CELLGRADE_CHECK(std::isfinite(c.grade.strut_diameter_m),
                    "layers of different densities have no one stiffness");
    return frame_tensor(c, std::get<StrutCell>(cell), youngs, poisson);
}

Mat6 kept_tensor(const StudyCase& c,
                 double youngs,
                 double poisson,
                 const std::filesystem::path& folder) {
    const std::filesystem::path file = folder / (c.grade.key + ".stiffness");
    Mat6 C = Mat6::Zero();
    if (has_blob(file)) {
        try {
            const std::vector<double> kept = load_blob(file, schema).doubles("tensor_Pa");
            if (kept.size() == 36) {
                std::copy(kept.begin(), kept.end(), C.data());
                return C;
            }
        } catch (const Error&) { // damaged: computed again below, with the same bits
        }
    }
    C = tensor_of(c, youngs, poisson);
    const std::vector<double> values(C.data(), C.data() + 36);
    const std::vector<BlobArray> arrays{{"tensor_Pa", std::span<const double>(values)}};
    save_blob(file, schema, arrays);
    return C;
}

} // namespace

std::vector<GradeStiffness>
sweep_stiffness(const StudySweep& sweep, const std::filesystem::path& folder, const Log& log) {
    std::vector<GradeStiffness> all;
    std::vector<std::string> tried;
    for (const StudyCase& c : sweep.cases) {
        const GradeCase& g = c.grade;
        const std::string label =
            fmt::format("{} {} {}", g.cell, g.relative_density, direction_text(g.direction));
        if (std::find(tried.begin(), tried.end(), label) != tried.end())
            continue;
        tried.push_back(label);
        GradeStiffness s{.cell = g.cell,
                         .relative_density = g.relative_density,
                         .direction = g.direction,
                         .polymer_modulus_Pa =
                             polymer_modulus_Pa(c.setup.polymer, g.strain_rate_per_s),
                         .polymer_poisson = poissons_ratio(c.setup.polymer)};
        try {
            s.tensor_Pa = kept_tensor(c, s.polymer_modulus_Pa, s.polymer_poisson, folder);
            all.push_back(s);
        } catch (const Error& e) {
            log.write(LogLevel::Warning, "no stiffness tensor of {}: {}", grade_label(g), e.what());
        }
    }
    return all;
}

} // namespace cellgrade
