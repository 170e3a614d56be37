// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace cellgrade {

/// Speed of the moving platen, changed only along smooth ramps.
///
///   v(t) = v0 + (v1 - v0) s^3 (10 - 15 s + 6 s^2),  s = (t - t0)/T in [0, 1]
///
/// The quintic has no jump of acceleration, so a start or turn does not ring the specimen.
class PlatenDrive {
public:
    /// Heads for `speed` from the speed at `time`, reached after `ramp` seconds.
    void head_for(double speed, double time, double ramp) {
        from_ = this->speed(time);
        to_ = speed;
        start_ = time;
        ramp_ = ramp;
    }
    [[nodiscard]] double speed(double time) const {
        if (ramp_ <= 0.0 || time >= start_ + ramp_)
            return to_;
        const double s = (time - start_) / ramp_;
        return s <= 0.0 ? from_
                        : from_ + (to_ - from_) * s * s * s * (10.0 + s * (-15.0 + 6.0 * s));
    }
    [[nodiscard]] double target() const { return to_; }

private:
    double from_ = 0.0;
    double to_ = 0.0;
    double start_ = 0.0;
    double ramp_ = 0.0;
};

} // namespace cellgrade
