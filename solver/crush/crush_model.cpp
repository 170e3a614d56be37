// SPDX-License-Identifier: Apache-2.0
#include "solver/crush/crush_model.hpp"

#include "solver/core/error.hpp"
#include "solver/crush/crush_body.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

namespace cellgrade {

namespace {

void check_path(const CrushSetup& setup, bool periodic_z) {
    const CrushLoading& l = setup.loading;
    const bool sheared = l.shear_to_strain > 0.0;
    CELLGRADE_CHECK((l.to_strain > 0.0 || (sheared && l.to_strain == 0.0)) && l.to_strain < 0.95,
                    "to_strain {} is not in (0, 0.95)", l.to_strain);
    CELLGRADE_CHECK(l.shear_to_strain >= 0.0 && l.shear_to_strain <= 3.0,
                    "shear_to_strain {} is not in [0, 3]", l.shear_to_strain);
    CELLGRADE_CHECK(
        l.path_angle >= 0.0 && l.path_angle <= M_PI / 3.0,
        "the path of the platen lies {:.3g} degrees off its normal; 0 to 60 are allowed",
        l.path_angle * 180.0 / M_PI);
    if (!moves_sideways(l))
        return;
    CELLGRADE_CHECK(!(sheared && l.path_angle > 0.0),
                    "shear after compression and an oblique path are two loads; give one");
    CELLGRADE_CHECK(!sheared || !l.unload, "unloading after shear is not known; unload must be "
                                           "false");
    CELLGRADE_CHECK(!periodic_z, "shear and oblique paths need platens: ends must be bonded or "
                                 "platen, not periodic");
    CELLGRADE_CHECK(setup.ends != SpecimenEnds::Platen || setup.platen_friction > 0.0,
                    "a platen without friction slides on the specimen instead of shearing it: ends "
                    "must be bonded, or platen_friction above 0");
    CELLGRADE_CHECK(setup.sides != SpecimenSides::Confined || periodic(setup.mesh)[0],
                    "the walls of a confined specimen would stop its shear: sides must be free or "
                    "periodic");
}

void check_setup(const CrushSetup& setup) {
    const bool periodic_z = periodic(setup.mesh)[2];
    const bool no_top = top(setup.mesh).empty(), no_bottom = bottom(setup.mesh).empty();
    CELLGRADE_CHECK(n_elements(setup.mesh) > 0, "the specimen has no struts or elements");
    CELLGRADE_CHECK(
        (setup.ends == SpecimenEnds::Periodic) == periodic_z,
        "ends and mesh disagree: periodic ends need a specimen periodic along z, platens "
        "one that is not");
    CELLGRADE_CHECK(periodic_z || (!no_top && !no_bottom),
                    "nothing reaches the {} face of the specimen, so no platen can press on it",
                    no_top ? "upper" : "lower");
    CELLGRADE_CHECK(setup.loading.speed_m_per_s.has_value() !=
                        setup.loading.strain_rate_per_s.has_value(),
                    "give either a platen speed or a strain rate, not both or none");
    CELLGRADE_CHECK(setup.loading.speed_m_per_s.value_or(1.0) > 0.0 &&
                        setup.loading.strain_rate_per_s.value_or(1.0) > 0.0,
                    "the loading speed must be above 0");
    check_path(setup, periodic_z);
}

} // namespace

CrushModel::CrushModel(const CrushSetup& setup) : path_(std::make_unique<PlatenPath>()) {
    check_setup(setup);
    const SpecimenMesh& mesh = setup.mesh;
    const double E = youngs_modulus_Pa(setup.polymer), nu = poissons_ratio(setup.polymer);
    ends_ = setup.ends;
    area_ = box(mesh).x() * box(mesh).y();
    height_ = box(mesh).z();

    Body body = make_body(setup);
    mass_ = body.total_mass();
    added_inertia_ = body.added_inertia();
    free_step_ = setup.numerics.step_safety * 2.0 / body.stable_omega();
    const std::vector<double> node_mass = body.node_mass();
    waves_.bar_speed = std::sqrt(E / setup.polymer.density_kg_per_m3);
    waves_.speed =
        waves_.bar_speed * std::sqrt(mass_ / setup.polymer.density_kg_per_m3 / (area_ * height_));
    waves_.slow_period = 4.0 * height_ / waves_.speed;

    ContactSettings contact{.modulus = E,
                            .poisson = nu,
                            .friction = setup.strut_friction,
                            .reference_step = free_step_,
                            .step_share = setup.numerics.contact_step_share};
    std::optional<SurfaceContact> surface;
    if (solid(mesh) != nullptr && setup.self_contact)
        surface.emplace(*solid(mesh), node_mass, contact);
    const double move_cap = beams(mesh) != nullptr
                                ? setup.numerics.move_cap * smallest_radius(*beams(mesh))
                            : surface ? 0.5 * surface->most_move()
                                      : 0.0;
    dynamics_ = std::make_unique<BodyDynamics>(
        nodes(mesh), std::move(body),
        DynamicsSettings{.step_safety = setup.numerics.step_safety,
                         .move_cap_m = move_cap,
                         .bound_at_most = solid(mesh) != nullptr ? 160 : 20});
    if (surface)
        dynamics_->set_self_contact(std::move(*surface));
    else if (beams(mesh) != nullptr && setup.self_contact)
        dynamics_->set_self_contact(StrutContact(*beams(mesh), node_mass, contact));
    add_ends(setup, contact);
    add_sides(setup, contact);
    add_box(setup);
    dynamics_->start();
}

void CrushModel::add_ends(const CrushSetup& setup, const ContactSettings& strut_contact) {
    const PlatenPath* path = path_.get();
    if (ends_ == SpecimenEnds::Bonded) {
        bottom_ = dynamics_->add_group({.nodes = bottom(setup.mesh)});
        top_ = dynamics_->add_group({.nodes = top(setup.mesh), .rate = [path](double t) {
                                         return GroupRate{.velocity = path->velocity(t)};
                                     }});
    } else if (ends_ == SpecimenEnds::Platen) {
        ContactSettings contact = strut_contact;
        contact.friction = setup.platen_friction;
        const std::vector<double>& node_mass = dynamics_->body().node_mass();
        PlateMotion plates(std::visit(
            [&](const auto& mesh) {
                return PlatenContact(mesh, node_mass, {lower_platen(mesh), upper_platen(mesh)},
                                     contact);
            },
            setup.mesh));
        bottom_ = 0;
        top_ = 1;
        plates.set_rate(top_, [path](double t) { return -path->down(t); });
        if (moves_sideways(setup.loading))
            plates.set_drag(top_, [path](double t) { return path->velocity(t); });
        dynamics_->add_plates(std::move(plates));
    }
}

void CrushModel::add_sides(const CrushSetup& setup, const ContactSettings& strut_contact) {
    const std::array<bool, 2> walled{!periodic(setup.mesh)[0], !periodic(setup.mesh)[1]};
    if (setup.sides != SpecimenSides::Confined || (!walled[0] && !walled[1]))
        return;
    ContactSettings contact = strut_contact;
    contact.friction = 0.0;
    const std::vector<double>& node_mass = dynamics_->body().node_mass();
    dynamics_->add_plates(PlateMotion(std::visit(
        [&](const auto& mesh) {
            return PlatenContact(mesh, node_mass, side_walls(mesh, walled), contact);
        },
        setup.mesh)));
}

void CrushModel::add_box(const CrushSetup& setup) {
    const std::array<bool, 3>& ends = periodic(setup.mesh);
    std::array<BoxEdge, 3> edges{BoxEdge::Fixed, BoxEdge::Fixed, BoxEdge::Fixed};
    for (int axis = 0; axis < 2; ++axis)
        if (ends[axis] && setup.sides == SpecimenSides::Free)
            edges[axis] = BoxEdge::Free;
    if (ends[2])
        edges[2] = BoxEdge::Prescribed;
    // A free border carries a third of the specimen's mass: what an affine stretch of the specimen
    // itself weighs in its kinetic energy. It is far above the masses of the nodes it pulls at, so
    // the border does not lower the stable step.
    BoxMotion motion(box(setup.mesh), edges, mass_ / 3.0);
    const PlatenPath* path = path_.get();
    motion.set_rate([path](double t) { return Vec3(0.0, 0.0, -path->down(t)); });
    dynamics_->set_box(std::move(motion));
    // Glue that did not grow along would tear at the border of the period alone.
    if (ends_ == SpecimenEnds::Bonded)
        for (const Index end : {bottom_, top_})
            dynamics_->carry_along(end);
}

double CrushModel::force_top() const {
    switch (ends_) {
    case SpecimenEnds::Platen:
        return dynamics_->plates(0).force(top_).z();
    case SpecimenEnds::Bonded:
        return -dynamics_->motion().reaction(top_).force.z();
    case SpecimenEnds::Periodic:
        return dynamics_->box_load().z();
    }
    return 0.0;
}

double CrushModel::side_force_top() const {
    switch (ends_) {
    case SpecimenEnds::Platen:
        return -dynamics_->plates(0).force(top_).x();
    case SpecimenEnds::Bonded:
        return dynamics_->motion().reaction(top_).force.x();
    case SpecimenEnds::Periodic:
        break;
    }
    return 0.0;
}

double CrushModel::side_force_bottom() const {
    switch (ends_) {
    case SpecimenEnds::Platen:
        return dynamics_->plates(0).force(bottom_).x();
    case SpecimenEnds::Bonded:
        return -dynamics_->motion().reaction(bottom_).force.x();
    case SpecimenEnds::Periodic:
        break;
    }
    return 0.0;
}

double CrushModel::force_bottom() const {
    switch (ends_) {
    case SpecimenEnds::Platen:
        return -dynamics_->plates(0).force(bottom_).z();
    case SpecimenEnds::Bonded:
        return dynamics_->motion().reaction(bottom_).force.z();
    case SpecimenEnds::Periodic:
        return dynamics_->box_load().z();
    }
    return 0.0;
}

} // namespace cellgrade
