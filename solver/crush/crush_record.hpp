// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"

#include <string>
#include <vector>

namespace cellgrade {

/// Recorded rows of a crush; all columns have equal length. Forces compression-positive.
struct CrushHistory {
    std::vector<double> time_s;         ///< time of the loading (material clock) [s]
    std::vector<double> solver_time_s;  ///< time of the equations of motion [s]
    std::vector<double> displacement_m; ///< shortening of the specimen
    std::vector<double> force_top_N;    ///< on the moving platen, mean since the last row
    std::vector<double> force_bottom_N; ///< on the fixed platen, mean since the last row
    std::vector<double> kinetic_energy_J;
    std::vector<double> stored_energy_J;   ///< elastic, in the struts
    std::vector<double> viscous_energy_J;  ///< dissipated in the struts (Prony, bulk viscosity)
    std::vector<double> contact_energy_J;  ///< stored in contact
    std::vector<double> friction_energy_J; ///< dissipated by friction
    std::vector<double> damping_energy_J;  ///< dissipated by mass-proportional damping
    std::vector<double> external_work_J;   ///< done by platens and loads
    std::vector<double> penetration_share; ///< deepest penetration / smaller radius of the pair [-]
    std::vector<double> step_s;            ///< solver step at the row
    std::vector<double> slide_m;           ///< of the moving platen along x
    std::vector<double> side_force_top_N;  ///< along x that moves it, mean since the last row
    std::vector<double> side_force_bottom_N; ///< along x that holds the fixed one, likewise
};

/// One saved shape; arrays over nodes of the mesh.
struct CrushFrame {
    double nominal_strain = 0.0;
    double time_s = 0.0;
    std::vector<Vec3> positions;                 ///< [m]
    std::vector<double> element_stored_energy_J; ///< over elements
    std::vector<double> element_axial_force_N;   ///< over elements, tension positive
};

/// What the printer did to the specimen, as far as the polymer card and the study tell.
struct PrintRecord {
    double drawn_relative_density = 0.0;   ///< of the endless cell, mean over layers [-]
    double printed_relative_density = 0.0; ///< the same with the offset [-]
    double diameter_offset_m = 0.0;        ///< printed minus drawn strut or wall; 0: as drawn
    /// Stiffness along the build direction over that in the layer plane; 1: not used [-]
    double build_direction_factor = 1.0;
    double void_fraction = 0.0; ///< porosity of the polymer in this run [-]
};

/// A guard's limit and what the run reached; `met` is the verdict.
struct GuardResult {
    std::string name;   ///< energy_closure, kinetic_share, platen_balance, penetration, ...
    double value = 0.0; ///< worst value in the window where the guard applies [-]
    double limit = 0.0;
    bool met = true;
    bool enforced = true; ///< false: reported only (e.g. platen balance of a true impact)
};

enum class CrushEnd { TargetStrain, StressRise, Unloaded, Failed, Interrupted };

/// Everything a crush leaves behind. A record whose `end` is Failed or whose enforced guards are
/// not all met is not a result.
struct CrushRecord {
    CrushHistory history;
    std::vector<CrushFrame> frames;
    std::vector<GuardResult> guards;
    CrushEnd end = CrushEnd::TargetStrain;
    std::string failure; ///< one line when end == Failed
    std::vector<std::string>
        notes; ///< what the run decided by itself: slow-downs, added inertia, ...

    PrintRecord print;
    double gross_area_m2 = 0.0; ///< initial
    double height_m = 0.0;      ///< initial
    double mass_kg = 0.0;       ///< of the struts, overlaps counted once
    double solid_volume_m3 = 0.0;
    double relative_density = 0.0; ///< solid volume / gross volume of the specimen
    double solid_density_kg_per_m3 = 0.0;
    double clock_ratio = 1.0; ///< material time / solver time; 1 in a true impact
    double added_inertia_share =
        0.0; ///< added for the step / physical: rotary inertia of beams, mass of solids [-]
    double stable_step_s = 0.0; ///< element bound at the start
    Index steps = 0;
    Index elements = 0;
    Index nodes = 0;
    Index turn_row = 0;    ///< first row of unloading, or the number of rows
    Index shear_row = 0;   ///< first row of shear after compression, or the number of rows
    bool sideways = false; ///< the platen moved along x too: sheared or crushed obliquely

    [[nodiscard]] bool trusted() const {
        if (end == CrushEnd::Failed || end == CrushEnd::Interrupted)
            return false;
        for (const GuardResult& guard : guards)
            if (guard.enforced && !guard.met)
                return false;
        return true;
    }
};

} // namespace cellgrade
