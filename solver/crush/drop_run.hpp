// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/crush/drop_model.hpp"
#include "solver/crush/drop_record.hpp"
#include "solver/crush/drop_setup.hpp"

#include <string>
#include <vector>

namespace cellgrade {

/// Runs a drop: from the first touch until the striker has left the pad, or the time limit. Physics
/// gone wrong does not throw: the record then ends as Failed with the reason.
///
/// It has left when it moves away and nothing has touched it for a twentieth of the time so far:
/// single struts swing after it.
/// Errors (input): a setup that cannot be run, see DropModel.
[[nodiscard]] DropRecord run_drop(const DropSetup& setup, const DropHooks& hooks = {});

/// One drop under way: rows, frames, guards.
class DropRun {
public:
    DropRun(const DropSetup& setup, const DropHooks& hooks);

    /// Runs to the end.
    [[nodiscard]] DropRecord finish();

private:
    void step();
    void check_limits() const;
    void first_row();
    void start_row();
    void complete_row();
    void drop_waiting_row();
    void take_frame();
    void report_progress() const;
    void note_turn();
    [[nodiscard]] double speed() const { return -model_.striker().place().velocity.z(); }
    [[nodiscard]] bool has_left() const;
    void judge(DropRecord& record);

    /// Sums at the last row, which the means of the next one are taken from.
    struct Sums {
        double half_time = 0.0, support = 0.0, turning = 0.0;
        Vec3 contact = Vec3::Zero();
    };

    const DropSetup& setup_;
    const DropHooks& hooks_;
    DropModel model_;
    DropHistory history_;
    Sums at_row_;
    bool waiting_ = false; ///< the last row still lacks its energies
    double next_row_ = 0.0, time_limit_ = 0.0;
    double deepest_penetration_ = 0.0, worst_momentum_ = 0.0;
    double last_touch_ = -1.0; ///< time of the last contact; below 0: none yet [s]
    bool turned_ = false, interrupted_ = false;
    std::vector<CrushFrame> frames_;
    double frame_interval_ = 0.0, next_frame_ = 0.0;
    std::vector<std::string> notes_;
};

} // namespace cellgrade
