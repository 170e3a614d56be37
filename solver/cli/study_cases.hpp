// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/beams/beam_mesh.hpp"
#include "solver/cli/solid_specimen.hpp"
#include "solver/cli/study.hpp"
#include "solver/core/log.hpp"
#include "solver/crush/crush_setup.hpp"
#include "solver/grades/grade_table.hpp"
#include "solver/results/provenance.hpp"

#include <string>
#include <variant>
#include <vector>

namespace cellgrade {

/// Raised by hand when the solver's results move, so that no stale case is reused.
inline constexpr int solver_schema = 6;

/// Saved shapes of a run that writes them and says no number.
inline constexpr Index default_frames = 40;

/// One crush of a study: its own study without a sweep, ready to run.
struct StudyCase {
    StudyConfig study;
    GradeCase grade; ///< with its key
    double slenderness =
        0.0; ///< shortest strut over largest diameter as printed; NaN without struts
    PrintRecord print;
    std::vector<std::string> print_notes; ///< what was taken of the card's print effects
    CrushSetup setup;
    std::string resolved;          ///< study_text of `study`
    std::vector<InputText> inputs; ///< study, cell and card, whole
};

/// The study with every default written out; reading it gives the same study again. Cell and card
/// files are named by absolute path only if they were.
[[nodiscard]] std::string study_text(const StudyConfig& study);

/// The studies of a sweep in the order cells > densities > directions > temperatures > strain rates
/// and speeds > straight, sheared, oblique; the study itself when it has no sweep.
[[nodiscard]] std::vector<StudyConfig> expand_sweep(const StudyConfig& study);

/// Reads cell and card, sizes the struts, builds the mesh as the card's printer makes it.
/// Errors (input): unknown cell or card, a density beyond the cell's closed limit, struts thinner
/// than the print limit, a cell that does not hang together.
[[nodiscard]] StudyCase prepare_case(const StudyConfig& study, const Log& log = {});

/// The key that prepare_case() gives the case of a study without a sweep; builds no mesh.
[[nodiscard]] std::string study_key(const StudyConfig& study);

/// The cell of a study, scaled. Errors (input): unknown, unreadable or wrong cell.
[[nodiscard]] AnyCell study_cell(const StudyConfig& study);

/// The specimen alone and as drawn, for a study that needs no polymer or loading. Errors as above.
[[nodiscard]] std::variant<BeamMesh, SolidSpecimen> study_mesh(const StudyConfig& study,
                                                               const Log& log = {});

} // namespace cellgrade
