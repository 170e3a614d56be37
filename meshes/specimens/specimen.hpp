// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/beams/beam_mesh.hpp"
#include "meshes/beams/subdivide.hpp"
#include "meshes/catalogue/strut_cell.hpp"
#include "meshes/specimens/imperfections.hpp"
#include "solver/core/log.hpp"

#include <array>
#include <vector>

namespace cellgrade {

enum class Sides {
    Free,     ///< like a printed block: struts in the outer faces stand whole on both sides
    Periodic, ///< endless across; struts in the faces counted once
    Confined, ///< the mesh of Free; the walls belong to the solver
};

enum class Ends {
    Plain,    ///< cut at the lower and upper face, for two platens
    Periodic, ///< endless along z too, for properties of the bulk
};

/// A specimen: cells of one kind, tiled, graded, and perhaps imperfect.
struct SpecimenPlan {
    std::array<Index, 3> tiles{1, 1, 1}; ///< cells along x, y, z
    Sides sides = Sides::Free;
    Ends ends = Ends::Plain;
    /// Strut diameter, that of the thickest where the cell has several [m]. 0: from `densities`,
    /// or the cell's own diameters.
    double diameter = 0.0;
    /// Relative densities: one for all, or one a layer of cells from z = 0 up. Stepped: each layer
    /// has its own diameters, struts are split at the planes between layers (unless a piece would
    /// be shorter than half a diameter), and a strut in such a plane has the mean diameter.
    std::vector<double> densities;
    /// Printed minus drawn diameter, the same for every strut; density and diameter above are
    /// drawn, the specimen is as printed [m].
    double diameter_offset = 0.0;
    BeamOptions beams;
    Imperfections imperfections;
    double least_diameter = 0.0; ///< thinnest strut that may be drawn [m]; 0: no check
};

/// The specimen as joined round struts, cut at the faces, before it becomes beams.
///
/// Struts that cross a side (unless periodic) or an end face are cut there: the cut is a flat end
/// on the face. Struts in a face stay whole and round. Pieces that the cuts leave without
/// connection to the rest are dropped and told through `log`.
///
/// Errors (input): a cell whose lattice vectors are not a right-angled box along x, y, z; tiles
/// below 1; none or several of diameter, densities and own diameters; a list of densities that
/// does not match the layers; an offset that leaves nothing of a strut; struts below the printable
/// diameter, naming the first; more than a twentieth of the strut length loose.
[[nodiscard]] StrutNet
specimen_net(const StrutCell& cell, const SpecimenPlan& plan, const Log& log = {});

/// The specimen as beams, checked by check_beam_mesh(). Errors as above.
[[nodiscard]] BeamMesh
build_specimen(const StrutCell& cell, const SpecimenPlan& plan, const Log& log = {});

} // namespace cellgrade
