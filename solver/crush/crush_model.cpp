// SPDX-License-Identifier: Apache-2.0
#include "solver/crush/crush_model.hpp"

#include "solver/core/error.hpp"
#include "solver/elements/beam_stable_step.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

BeamBody make_body(const CrushSetup& setup, double E, double nu) {
    const CrushNumerics& numerics = setup.numerics;
    const double density = setup.polymer.density_kg_per_m3;
    const SectionModuli moduli = section_moduli(E, nu);
    BeamBlock beams = make_beam_block(setup.mesh, moduli);
    LumpedMass mass =
        lumped_mass(setup.mesh, beams, density,
                    numerics.scale_rotary_inertia ? RotaryRule::RaisedToAxial : RotaryRule::True);
    if (setup.section == SectionKind::Resultants) {
        set_bulk_viscosity(beams, numerics.bulk_viscosity, density, moduli);
        return {setup.mesh, std::move(beams), std::move(mass)};
    }
    FibreBlock fibres = make_fibre_block(setup.mesh, moduli, make_uniaxial_table(setup.polymer.law),
                                         setup.polymer.prony, DiscRule::Twelve);
    set_bulk_viscosity(fibres.beams, numerics.bulk_viscosity, density, moduli);
    return {setup.mesh, std::move(fibres), std::move(mass)};
}

double smallest_radius(const BeamMesh& mesh) {
    double r = mesh.elements.front().radius;
    for (const BeamElement& e : mesh.elements)
        r = std::min(r, e.radius);
    return r;
}

void check_setup(const CrushSetup& setup) {
    const BeamMesh& mesh = setup.mesh;
    const bool periodic_z = mesh.periodic[2];
    CELLGRADE_CHECK(!mesh.elements.empty(), "the specimen has no struts");
    CELLGRADE_CHECK(
        (setup.ends == SpecimenEnds::Periodic) == periodic_z,
        "ends and mesh disagree: periodic ends need a specimen periodic along z, platens "
        "one that is not");
    CELLGRADE_CHECK(periodic_z || (!mesh.top.empty() && !mesh.bottom.empty()),
                    "no strut reaches the {} face of the specimen, so no platen can press on it",
                    mesh.top.empty() ? "upper" : "lower");
    CELLGRADE_CHECK(setup.loading.speed_m_per_s.has_value() !=
                        setup.loading.strain_rate_per_s.has_value(),
                    "give either a platen speed or a strain rate, not both or none");
    CELLGRADE_CHECK(setup.loading.speed_m_per_s.value_or(1.0) > 0.0 &&
                        setup.loading.strain_rate_per_s.value_or(1.0) > 0.0,
                    "the loading speed must be above 0");
    CELLGRADE_CHECK(setup.loading.to_strain > 0.0 && setup.loading.to_strain < 0.95,
                    "to_strain {} is not in (0, 0.95)", setup.loading.to_strain);
}

} // namespace

CrushModel::CrushModel(const CrushSetup& setup) : drive_(std::make_unique<PlatenDrive>()) {
    check_setup(setup);
    const BeamMesh& mesh = setup.mesh;
    const double E = youngs_modulus_Pa(setup.polymer), nu = poissons_ratio(setup.polymer);
    ends_ = setup.ends;
    area_ = mesh.box.x() * mesh.box.y();
    height_ = mesh.box.z();

    BeamBody body = make_body(setup, E, nu);
    mass_ = body.mass().total;
    added_rotary_ = body.mass().added_rotary;
    free_step_ = setup.numerics.step_safety * 2.0 / body.stable_omega();
    const std::vector<double> node_mass = body.mass().mass;
    waves_.bar_speed = std::sqrt(E / setup.polymer.density_kg_per_m3);
    waves_.speed =
        waves_.bar_speed * std::sqrt(mass_ / setup.polymer.density_kg_per_m3 / (area_ * height_));
    waves_.slow_period = 4.0 * height_ / waves_.speed;

    dynamics_ = std::make_unique<BeamDynamics>(
        mesh.nodes, std::move(body),
        DynamicsSettings{.step_safety = setup.numerics.step_safety,
                         .move_cap_m = setup.numerics.move_cap * smallest_radius(mesh)});
    ContactSettings contact{.modulus = E,
                            .poisson = nu,
                            .friction = setup.strut_friction,
                            .reference_step = free_step_,
                            .step_share = setup.numerics.contact_step_share};
    if (setup.self_contact)
        dynamics_->set_self_contact(StrutContact(mesh, node_mass, contact));
    add_ends(setup, contact);
    add_sides(setup, contact);
    add_box(setup);
    dynamics_->start();
}

void CrushModel::add_ends(const CrushSetup& setup, const ContactSettings& strut_contact) {
    const PlatenDrive* drive = drive_.get();
    if (ends_ == SpecimenEnds::Bonded) {
        bottom_ = dynamics_->add_group({.nodes = setup.mesh.bottom});
        top_ = dynamics_->add_group({.nodes = setup.mesh.top, .rate = [drive](double t) {
                                         return GroupRate{.velocity =
                                                              Vec3(0.0, 0.0, -drive->speed(t))};
                                     }});
    } else if (ends_ == SpecimenEnds::Platen) {
        ContactSettings contact = strut_contact;
        contact.friction = setup.platen_friction;
        PlateMotion plates(PlatenContact(setup.mesh, dynamics_->body().mass().mass,
                                         {lower_platen(setup.mesh), upper_platen(setup.mesh)},
                                         contact));
        bottom_ = 0;
        top_ = 1;
        plates.set_rate(top_, [drive](double t) { return -drive->speed(t); });
        dynamics_->add_plates(std::move(plates));
    }
}

void CrushModel::add_sides(const CrushSetup& setup, const ContactSettings& strut_contact) {
    const std::array<bool, 2> walled{!setup.mesh.periodic[0], !setup.mesh.periodic[1]};
    if (setup.sides != SpecimenSides::Confined || (!walled[0] && !walled[1]))
        return;
    ContactSettings contact = strut_contact;
    contact.friction = 0.0;
    dynamics_->add_plates(PlateMotion(PlatenContact(setup.mesh, dynamics_->body().mass().mass,
                                                    side_walls(setup.mesh, walled), contact)));
}

void CrushModel::add_box(const CrushSetup& setup) {
    const std::array<bool, 3>& periodic = setup.mesh.periodic;
    std::array<BoxEdge, 3> edges{BoxEdge::Fixed, BoxEdge::Fixed, BoxEdge::Fixed};
    for (int axis = 0; axis < 2; ++axis)
        if (periodic[axis] && setup.sides == SpecimenSides::Free)
            edges[axis] = BoxEdge::Free;
    if (periodic[2])
        edges[2] = BoxEdge::Prescribed;
    // A free border carries a third of the specimen's mass: what an affine stretch of the specimen
    // itself weighs in its kinetic energy. It is far above the masses of the nodes it pulls at, so
    // the border does not lower the stable step.
    BoxMotion box(setup.mesh.box, edges, mass_ / 3.0);
    const PlatenDrive* drive = drive_.get();
    box.set_rate([drive](double t) { return Vec3(0.0, 0.0, -drive->speed(t)); });
    dynamics_->set_box(std::move(box));
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
