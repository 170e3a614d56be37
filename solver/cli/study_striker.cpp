// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/study_striker.hpp"

#include "solver/cli/key_range.hpp"
#include "solver/core/units.hpp"

#include <cmath>
#include <string_view>

namespace cellgrade {

namespace {

double speed_of(const KeyedTable& t) {
    const bool speed = t.has("speed_m_per_s"), height = t.has("drop_height_m");
    if (speed == height)
        throw t.error(speed ? "drop_height_m" : "speed_m_per_s",
                      "exactly one of speed_m_per_s and drop_height_m is needed");
    return speed ? t.positive("speed_m_per_s")
                 : std::sqrt(2.0 * units::standard_gravity * t.positive("drop_height_m"));
}

void read_shape(const KeyedTable& t, DropStriker& s) {
    s.face =
        t.choice("shape", {"flat", "sphere"}) == "sphere" ? StrikerFace::Sphere : StrikerFace::Flat;
    if (s.face == StrikerFace::Sphere) {
        s.radius_m = t.positive("radius_mm") * units::mm;
        if (t.has("centre_height_mm"))
            throw t.error("centre_height_mm", "of flat strikers; a sphere has its mass around its "
                                              "middle");
    } else {
        if (t.has("radius_mm"))
            throw t.error("radius_mm", "of spheres; this striker is flat and larger than the pad");
        s.centre_height_m = within(t, "centre_height_mm", 0.0, 0.0, 1000.0) * units::mm;
    }
    if (t.has("offset_mm")) {
        const std::vector<double> offset = t.numbers("offset_mm");
        if (offset.size() != 2)
            throw t.error("offset_mm", fmt::format("two numbers are needed, along x and y; {} "
                                                   "given",
                                                   offset.size()));
        s.offset_x_m = offset[0] * units::mm;
        s.offset_y_m = offset[1] * units::mm;
    }
}

void read_freedom(const KeyedTable& t, DropStriker& s) {
    s.guided = t.flag_or("guided", s.guided);
    s.path_angle = within(t, "path_angle_deg", 0.0, 0.0, 60.0) * units::degree;
    if (t.has("inertia_kg_m2"))
        s.inertia_kg_m2 = t.positive("inertia_kg_m2");
    for (const char* key : {"path_angle_deg", "inertia_kg_m2"})
        if (s.guided && t.has(key) && t.number(key) != 0.0)
            throw t.error(key, "needs guided = false: a guided striker moves straight down its "
                               "rails");
    if (t.has("friction"))
        s.friction = within(t, "friction", 0.0, 0.0, 2.0);
    s.with_weight = t.flag_or("with_weight", s.with_weight);
}

std::string number(std::string_view key, double value) {
    std::string digits = fmt::format("{}", value);
    if (digits.find_first_of(".e") == std::string::npos)
        digits += ".0";
    return fmt::format("{} = {}\n", key, digits);
}

} // namespace

StrikerChoice read_striker(const KeyedTable& t) {
    StrikerChoice c;
    read_shape(t, c.striker);
    c.striker.mass_kg = t.positive("mass_kg");
    c.striker.speed_m_per_s = speed_of(t);
    read_freedom(t, c.striker);
    if (t.has("loaded_area_mm2"))
        c.loaded_area_m2 = t.positive("loaded_area_mm2") * units::mm2;
    c.numerics.row_interval_s = within(t, "row_interval_us", 10.0, 0.001, 1e5) * units::us;
    c.numerics.channel_class_Hz =
        within(t, "channel_class_Hz", c.numerics.channel_class_Hz, 0.0, 1e6);
    if (c.numerics.channel_class_Hz * c.numerics.row_interval_s > 0.1 * (1.0 + 1e-9))
        throw t.error(t.has("row_interval_us") ? "row_interval_us" : "channel_class_Hz",
                      fmt::format("rows {:g} us apart are too few for channel class {:g}; at most "
                                  "{:g} us, or channel_class_Hz = 0 for no filter",
                                  c.numerics.row_interval_s / units::us,
                                  c.numerics.channel_class_Hz,
                                  0.1 / c.numerics.channel_class_Hz / units::us));
    if (t.has("time_limit_ms"))
        c.numerics.time_limit_s = t.positive("time_limit_ms") * units::ms;
    t.finish();
    return c;
}

std::string striker_text(const StrikerChoice& c) {
    const DropStriker& s = c.striker;
    const bool sphere = s.face == StrikerFace::Sphere;
    std::string text = fmt::format("\n[striker]\nshape = \"{}\"\n", sphere ? "sphere" : "flat");
    text += sphere ? number("radius_mm", s.radius_m / units::mm)
                   : number("centre_height_mm", s.centre_height_m / units::mm);
    text += number("mass_kg", s.mass_kg) + number("speed_m_per_s", s.speed_m_per_s);
    if (c.loaded_area_m2)
        text += number("loaded_area_mm2", *c.loaded_area_m2 / units::mm2);
    text += fmt::format("guided = {}\n", s.guided);
    if (s.path_angle != 0.0)
        text += number("path_angle_deg", s.path_angle / units::degree);
    if (s.inertia_kg_m2 != 0.0)
        text += number("inertia_kg_m2", s.inertia_kg_m2);
    if (s.offset_x_m != 0.0 || s.offset_y_m != 0.0)
        text += fmt::format("offset_mm = [{}, {}]\n", s.offset_x_m / units::mm,
                            s.offset_y_m / units::mm);
    if (s.friction)
        text += number("friction", *s.friction);
    text += fmt::format("with_weight = {}\n", s.with_weight);
    text += number("row_interval_us", c.numerics.row_interval_s / units::us) +
            number("channel_class_Hz", c.numerics.channel_class_Hz);
    if (c.numerics.time_limit_s)
        text += number("time_limit_ms", *c.numerics.time_limit_s / units::ms);
    return text;
}

} // namespace cellgrade
