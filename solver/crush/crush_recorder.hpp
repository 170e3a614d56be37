// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/crush/crush_model.hpp"
#include "solver/crush/crush_record.hpp"

namespace cellgrade {

/// Turns steps into rows. The forces of a row are means over the time since the last row, which
/// filters the ringing of single elements; forces_at_rows() brings them to the rows. All else is
/// the state at the row. A row's energies are complete one step after it, so it waits for that
/// step.
class CrushRecorder {
public:
    CrushRecorder(const CrushModel& model, double strain_per_row);

    /// True when the step about to be made should evaluate energies: the next row is due.
    /// @param displacement  shortening, @param slide  way along x [m]
    [[nodiscard]] bool row_due(double displacement, double slide) const;
    /// Takes note of the step just made; completes a waiting row, and starts one when `take_row`.
    void after_step(double displacement, double slide, bool take_row);

    [[nodiscard]] const CrushHistory& history() const { return history_; }
    [[nodiscard]] CrushHistory& history() { return history_; }
    [[nodiscard]] Index rows() const { return static_cast<Index>(history_.time_s.size()); }
    [[nodiscard]] double nominal_stress(Index row) const;
    [[nodiscard]] double deepest() const { return state_.deepest; }

    /// Sums of the open interval and the waiting row, for snapshots and checkpoints.
    struct State {
        double impulse_top = 0.0, impulse_bottom = 0.0, interval = 0.0; ///< [N s], [N s], [s]
        double side_impulse_top = 0.0, side_impulse_bottom = 0.0;       ///< [N s]
        double last_row_place = 0.0; ///< displacement + slide [m]
        double waiting = 0.0;        ///< 1 when the last row still lacks its energies
        double deepest = 0.0;
        double rows = 0.0;
    };
    [[nodiscard]] State save() const;
    /// Goes back to a state and drops the rows after it.
    void restore(const State& state);

private:
    void start_row(double displacement, double slide);
    void complete_row();

    const CrushModel& model_;
    double displacement_per_row_;
    CrushHistory history_;
    State state_;
};

/// Worst |external work - all parts| over the largest energy so far [-], over the rows from
/// `from_strain` on: an impact begins with hits on single nodes, whose energies are nothing to
/// measure against. What went wrong before still counts, for the defect adds up.
[[nodiscard]] double energy_closure(const CrushHistory& history, double height, double from_strain);

/// Calls f on every column of a history, in a fixed order.
template <class History, class F>
void for_each_column(History& h, F f) {
    f("time_s", h.time_s);
    f("solver_time_s", h.solver_time_s);
    f("displacement_m", h.displacement_m);
    f("force_top_N", h.force_top_N);
    f("force_bottom_N", h.force_bottom_N);
    f("kinetic_energy_J", h.kinetic_energy_J);
    f("stored_energy_J", h.stored_energy_J);
    f("viscous_energy_J", h.viscous_energy_J);
    f("contact_energy_J", h.contact_energy_J);
    f("friction_energy_J", h.friction_energy_J);
    f("damping_energy_J", h.damping_energy_J);
    f("external_work_J", h.external_work_J);
    f("penetration_share", h.penetration_share);
    f("step_s", h.step_s);
    f("slide_m", h.slide_m);
    f("side_force_top_N", h.side_force_top_N);
    f("side_force_bottom_N", h.side_force_bottom_N);
}

} // namespace cellgrade
