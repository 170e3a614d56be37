// SPDX-License-Identifier: Apache-2.0
#include "solver/crush/crush_recorder.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

CrushRecorder::CrushRecorder(const CrushModel& model, double strain_per_row)
    : model_(model), displacement_per_row_(strain_per_row * model.height()) {}

bool CrushRecorder::row_due(double displacement, double slide) const {
    return std::abs(displacement + slide - state_.last_row_place) >= displacement_per_row_;
}

void CrushRecorder::after_step(double displacement, double slide, bool take_row) {
    if (state_.waiting != 0.0)
        complete_row();
    const double dt = model_.dynamics().last_step();
    state_.impulse_top += dt * model_.force_top();
    state_.impulse_bottom += dt * model_.force_bottom();
    state_.side_impulse_top += dt * model_.side_force_top();
    state_.side_impulse_bottom += dt * model_.side_force_bottom();
    state_.interval += dt;
    state_.deepest = std::max(state_.deepest, model_.dynamics().penetration_share());
    if (take_row)
        start_row(displacement, slide);
}

void CrushRecorder::start_row(double displacement, double slide) {
    const BodyDynamics& dynamics = model_.dynamics();
    history_.time_s.push_back(dynamics.material_time());
    history_.solver_time_s.push_back(dynamics.time());
    history_.displacement_m.push_back(displacement);
    history_.force_top_N.push_back(state_.impulse_top / state_.interval);
    history_.force_bottom_N.push_back(state_.impulse_bottom / state_.interval);
    history_.slide_m.push_back(slide);
    history_.side_force_top_N.push_back(state_.side_impulse_top / state_.interval);
    history_.side_force_bottom_N.push_back(state_.side_impulse_bottom / state_.interval);
    history_.penetration_share.push_back(dynamics.penetration_share());
    history_.step_s.push_back(dynamics.last_step());
    for (auto* column :
         {&history_.kinetic_energy_J, &history_.stored_energy_J, &history_.viscous_energy_J,
          &history_.contact_energy_J, &history_.friction_energy_J, &history_.damping_energy_J,
          &history_.external_work_J})
        column->push_back(0.0);
    state_.impulse_top = state_.impulse_bottom = state_.interval = 0.0;
    state_.side_impulse_top = state_.side_impulse_bottom = 0.0;
    state_.last_row_place = displacement + slide;
    state_.waiting = 1.0;
}

void CrushRecorder::complete_row() {
    const EnergyLedger& ledger = model_.dynamics().ledger();
    history_.kinetic_energy_J.back() = ledger.kinetic;
    history_.stored_energy_J.back() = ledger.stored;
    history_.viscous_energy_J.back() = ledger.viscous;
    history_.contact_energy_J.back() = ledger.contact;
    history_.friction_energy_J.back() = ledger.friction;
    history_.damping_energy_J.back() = ledger.damping;
    history_.external_work_J.back() = ledger.external;
    state_.waiting = 0.0;
}

double energy_closure(const CrushHistory& h, double height, double from_strain) {
    double largest = 0.0, worst = 0.0;
    for (std::size_t i = 0; i < h.time_s.size(); ++i) {
        const EnergyLedger row{.kinetic = h.kinetic_energy_J[i],
                               .stored = h.stored_energy_J[i],
                               .viscous = h.viscous_energy_J[i],
                               .contact = h.contact_energy_J[i],
                               .friction = h.friction_energy_J[i],
                               .damping = h.damping_energy_J[i],
                               .external = h.external_work_J[i]};
        const double closure = row.closure(largest);
        if (h.displacement_m[i] + h.slide_m[i] >= from_strain * height || i + 1 == h.time_s.size())
            worst = std::max(worst, closure);
    }
    return worst;
}

double CrushRecorder::nominal_stress(Index row) const {
    return history_.force_top_N[row] / model_.gross_area();
}

CrushRecorder::State CrushRecorder::save() const {
    State state = state_;
    state.rows = rows();
    return state;
}

void CrushRecorder::restore(const State& state) {
    state_ = state;
    for_each_column(history_, [&](const char*, std::vector<double>& column) {
        column.resize(static_cast<std::size_t>(state.rows));
    });
}

} // namespace cellgrade
