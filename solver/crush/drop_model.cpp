// SPDX-License-Identifier: Apache-2.0
#include "solver/crush/drop_model.hpp"

#include "solver/core/error.hpp"
#include "solver/core/units.hpp"
#include "solver/crush/crush_body.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

namespace cellgrade {

namespace {

void check_pad(const CrushSetup& pad) {
    CELLGRADE_CHECK(n_elements(pad.mesh) > 0, "the pad has no struts or elements");
    CELLGRADE_CHECK(!periodic(pad.mesh)[2] && pad.ends != SpecimenEnds::Periodic,
                    "a pad lies on a support: ends must be platen or bonded, not periodic");
    CELLGRADE_CHECK(!bottom(pad.mesh).empty(),
                    "nothing reaches the lower face of the pad, so it cannot lie on its support");
    CELLGRADE_CHECK(!pad.loading.strain_rate_per_s,
                    "a drop has the speed of its striker and no strain rate");
}

void check_striker(const DropStriker& s, const SpecimenMesh& mesh) {
    CELLGRADE_CHECK(s.mass_kg > 0.0 && std::isfinite(s.mass_kg),
                    "the striker's mass is {} kg; a finite value above 0 is needed", s.mass_kg);
    CELLGRADE_CHECK(s.speed_m_per_s > 0.0 && std::isfinite(s.speed_m_per_s),
                    "the striker's speed is {} m/s; a finite value above 0 is needed",
                    s.speed_m_per_s);
    CELLGRADE_CHECK(
        s.path_angle >= 0.0 && s.path_angle <= M_PI / 3.0,
        "the path of the striker lies {:.3g} degrees off the normal; 0 to 60 are allowed",
        s.path_angle * 180.0 / M_PI);
    CELLGRADE_CHECK(!s.guided || (s.path_angle == 0.0 && s.inertia_kg_m2 == 0.0),
                    "a guided striker moves along z alone: a slanting path and a moment of inertia "
                    "need guided = false");
    const bool endless = periodic(mesh)[0] || periodic(mesh)[1];
    CELLGRADE_CHECK(!endless || s.inertia_kg_m2 == 0.0,
                    "a striker cannot turn on an endless pad; sides must be free or confined, or "
                    "the moment of inertia 0");
    CELLGRADE_CHECK(s.friction.value_or(0.0) >= 0.0 && s.friction.value_or(0.0) <= 2.0,
                    "the striker's friction is {}; 0 to 2 is allowed", s.friction.value_or(0.0));
}

void check_numerics(const DropNumerics& n) {
    CELLGRADE_CHECK(n.row_interval_s > 0.0 && std::isfinite(n.row_interval_s),
                    "row interval {} s is not above 0", n.row_interval_s);
    CELLGRADE_CHECK(n.channel_class_Hz >= 0.0, "channel class {} Hz is below 0",
                    n.channel_class_Hz);
    CELLGRADE_CHECK(n.channel_class_Hz * n.row_interval_s <= 0.1 * (1.0 + 1e-9),
                    "rows {:.3g} s apart are too few for channel class {:.4g}; at most {:.3g} s",
                    n.row_interval_s, n.channel_class_Hz, 0.1 / n.channel_class_Hz);
    CELLGRADE_CHECK(n.time_limit_s.value_or(1.0) > 0.0, "time limit {} s is not above 0",
                    n.time_limit_s.value_or(0.0));
}

} // namespace

DropModel::DropModel(const DropSetup& setup) {
    const CrushSetup& pad = setup.pad;
    check_pad(pad);
    check_striker(setup.striker, pad.mesh);
    check_numerics(setup.numerics);
    bonded_ = pad.ends == SpecimenEnds::Bonded;
    area_ = box(pad.mesh).x() * box(pad.mesh).y();
    height_ = box(pad.mesh).z();

    Body body = make_body(pad);
    mass_ = body.total_mass();
    added_inertia_ = body.added_inertia();
    free_step_ = pad.numerics.step_safety * 2.0 / body.stable_omega();
    const std::vector<double> node_mass = body.node_mass();
    const ContactSettings contact{.modulus = youngs_modulus_Pa(pad.polymer),
                                  .poisson = poissons_ratio(pad.polymer),
                                  .friction = pad.strut_friction,
                                  .reference_step = free_step_,
                                  .step_share = pad.numerics.contact_step_share};
    std::optional<SurfaceContact> surface;
    if (solid(pad.mesh) != nullptr && pad.self_contact)
        surface.emplace(*solid(pad.mesh), node_mass, contact);
    const double move_cap = beams(pad.mesh) != nullptr
                                ? pad.numerics.move_cap * smallest_radius(*beams(pad.mesh))
                            : surface ? 0.5 * surface->most_move()
                                      : 0.0;
    dynamics_ = std::make_unique<BodyDynamics>(
        nodes(pad.mesh), std::move(body),
        DynamicsSettings{.step_safety = pad.numerics.step_safety,
                         .move_cap_m = move_cap,
                         .bound_at_most = solid(pad.mesh) != nullptr ? 160 : 20});
    if (surface)
        dynamics_->set_self_contact(std::move(*surface));
    else if (beams(pad.mesh) != nullptr && pad.self_contact)
        dynamics_->set_self_contact(StrutContact(*beams(pad.mesh), node_mass, contact));
    add_support(setup, contact);
    add_sides(setup, contact);
    add_striker(setup, contact);
    dynamics_->start();
}

void DropModel::add_support(const DropSetup& setup, const ContactSettings& strut_contact) {
    const SpecimenMesh& mesh = setup.pad.mesh;
    if (bonded_) {
        bottom_ = dynamics_->add_group({.nodes = bottom(mesh)});
        return;
    }
    ContactSettings contact = strut_contact;
    contact.friction = setup.pad.platen_friction;
    dynamics_->add_plates(PlateMotion(std::visit(
        [&](const auto& m) {
            return PlatenContact(m, dynamics_->body().node_mass(), {lower_platen(m)}, contact);
        },
        mesh)));
}

void DropModel::add_sides(const DropSetup& setup, const ContactSettings& strut_contact) {
    const SpecimenMesh& mesh = setup.pad.mesh;
    const std::array<bool, 3>& endless = periodic(mesh);
    if (setup.pad.sides == SpecimenSides::Confined && !(endless[0] && endless[1])) {
        ContactSettings contact = strut_contact;
        contact.friction = 0.0;
        dynamics_->add_plates(PlateMotion(std::visit(
            [&](const auto& m) {
                return PlatenContact(m, dynamics_->body().node_mass(),
                                     side_walls(m, {!endless[0], !endless[1]}), contact);
            },
            mesh)));
    }
    std::array<BoxEdge, 3> edges{BoxEdge::Fixed, BoxEdge::Fixed, BoxEdge::Fixed};
    for (int axis = 0; axis < 2; ++axis)
        if (endless[axis] && setup.pad.sides == SpecimenSides::Free)
            edges[axis] = BoxEdge::Free;
    dynamics_->set_box(BoxMotion(box(mesh), edges, mass_ / 3.0)); // as in a crush
    if (bonded_)
        dynamics_->carry_along(bottom_);
}

void DropModel::add_striker(const DropSetup& setup, const ContactSettings& strut_contact) {
    const DropStriker& s = setup.striker;
    const SpecimenMesh& mesh = setup.pad.mesh;
    ContactSettings settings = strut_contact;
    settings.friction = s.friction.value_or(setup.pad.platen_friction);
    StrikerContact contact = std::visit(
        [&](const auto& m) {
            return StrikerContact(
                m, dynamics_->body().node_mass(),
                {.face = s.face,
                 .radius = s.radius_m,
                 .centre_height = s.face == StrikerFace::Flat ? s.centre_height_m : 0.0},
                settings);
        },
        mesh);
    const double x = 0.5 * box(mesh).x() + s.offset_x_m, y = 0.5 * box(mesh).y() + s.offset_y_m;
    const double z = contact.first_touch(nodes(mesh), x, y);
    const Vec3 path(std::sin(s.path_angle), 0.0, -std::cos(s.path_angle));
    const double gravity = s.with_weight ? units::standard_gravity : 0.0;
    weight_ = s.mass_kg * gravity;
    first_momentum_ = s.mass_kg * s.speed_m_per_s * path.z();
    dynamics_->set_striker(StrikerMotion(
        std::move(contact),
        {.mass = s.mass_kg, .inertia = s.inertia_kg_m2, .slides = !s.guided, .gravity = gravity},
        {.centre = Vec3(x, y, z), .velocity = s.speed_m_per_s * path}));
}

void DropModel::step() {
    // The force of a platen is known before the step that it acts in, that of glue afterwards.
    double support = bonded_ ? 0.0 : -dynamics_->plates(0).force(0).z();
    dynamics_->step();
    const double next = dynamics_->last_step();
    const double dt = last_dt_ == 0.0 ? 0.5 * next : 0.5 * (last_dt_ + next);
    if (bonded_)
        support = dynamics_->motion().reaction(bottom_).force.z();
    support_impulse_ += dt * support;
    half_time_ += dt;
    last_dt_ = next;
}

double DropModel::momentum_defect() const {
    const double now =
        striker().body().mass * striker().place().velocity.z() + dynamics_->motion().momentum().z();
    return std::abs(now - first_momentum_ - support_impulse_ + weight_ * half_time_) /
           std::abs(first_momentum_);
}

} // namespace cellgrade
