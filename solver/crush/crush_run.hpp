// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/crush/crush_model.hpp"
#include "solver/crush/crush_recorder.hpp"
#include "solver/crush/crush_setup.hpp"

#include <cstdint>
#include <optional>
#include <vector>

namespace cellgrade {

/// One crush under way: the path of the platen, the guards, the rows and frames.
///
/// Quasi-static runs watch inertia in windows of 2 % strain, by the very measure that judges them
/// in the end. When a window is out of bounds the run goes back to a snapshot one full window
/// earlier (or to its beginning when that is near), halves the platen speed and says so; below 1/64
/// of the first speed it goes on and the guard decides. After calm windows the speed doubles again,
/// never past the first one; each going back doubles how many calm windows that takes.
///
/// The first speed follows from an estimate of the specimen's slow period; after the first window
/// the period that was felt replaces it, and where it is longer the run begins anew with it.
class CrushRun {
public:
    CrushRun(const CrushSetup& setup, const CrushHooks& hooks);

    /// Runs to the end of the path.
    [[nodiscard]] CrushRecord finish();

private:
    enum class Leg : std::int64_t {
        Loading,
        Stopping, ///< between compression and shear
        Shearing,
        Unloading,
        Done
    }; // as wide as a double: see checkpoint

    /// The part of the run that is not in the dynamics or the recorder.
    struct Course {
        double displacement = 0.0; ///< of the platen towards the other one [m]
        double slide = 0.0;        ///< of the platen along x [m]
        double speed = 0.0;        ///< target of the leg, > 0 [m/s]
        double turn_displacement = 0.0;
        double peak_force = 0.0;
        double turn_row = -1.0;
        double shear_row = -1.0;
        double window_row = 0.0; ///< first row of the open window
        double calm_windows = 0.0;
        double calm_needed = 3.0;
        double sped_up = 0.0; ///< 1 since the last doubling of the speed, until a slow-down
        double goings_back = 0.0;
        double last_worst = 1e300; ///< of the window that was last gone back for
        double stubborn = 0.0;     ///< goings back in a row that hardly helped
        double next_frame = 0.0;   ///< travelled way of the next frame [m]
        double travelled = 0.0;
        double from = 0.0, to = 0.0, start = 0.0, ramp = 0.0; ///< of the platen's path, down
        double from_side = 0.0, to_side = 0.0;                ///< along x
        Leg leg = Leg::Loading;
    };
    struct Snapshot {
        BodyDynamics::State dynamics;
        CrushRecorder::State recorder;
        Course course;
        std::size_t frames = 0;
    };

    void note_doubts();
    void note_stretches();
    /// Goes on in the direction of the leg at this speed; a negative one goes back.
    void head_for(double speed);
    void start_shear();
    [[nodiscard]] bool stop_is_due() const;
    [[nodiscard]] double whole_way() const;
    [[nodiscard]] std::string place_text(const Course& course) const;
    void step();
    void follow_path();
    void check_limits() const;
    void watch_inertia();
    void slow_down(double worst);
    [[nodiscard]] double felt_period(Index rows) const;
    [[nodiscard]] bool begin_anew_slower(Index rows);
    void set_slow_period(double period);
    [[nodiscard]] bool may_slow_down() const;
    [[nodiscard]] Index rows_per_window() const;
    void turn_or_stop();
    void take_frame();
    void report_progress();
    [[nodiscard]] bool quasi_static() const { return setup_.loading.strain_rate_per_s.has_value(); }
    [[nodiscard]] bool loading_ended() const;
    [[nodiscard]] double ramp_time() const;
    [[nodiscard]] Snapshot snapshot() const;
    void go_back(const Snapshot& s);
    void judge(CrushRecord& record) const;

    void save_checkpoint() const;
    void resume_from_checkpoint();

    const CrushSetup& setup_;
    const CrushHooks& hooks_;
    CrushModel model_;
    CrushRecorder recorder_;
    Course course_;
    double first_speed_ = 0.0; ///< the fastest allowed; halved when a run begins anew
    double tried_speed_ = 0.0; ///< the one it began with
    double slow_period_ = 0.0; ///< estimated, then felt [s]
    bool period_felt_ = false;
    std::vector<Snapshot> windows_; ///< the beginning, and the starts of the last two windows
    std::vector<CrushFrame> frames_;
    std::vector<std::string> notes_;
    double next_checkpoint_ = 0.0;
    bool interrupted_ = false;
};

} // namespace cellgrade
