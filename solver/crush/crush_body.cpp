// SPDX-License-Identifier: Apache-2.0
#include "solver/crush/crush_body.hpp"

#include "solver/elements/tet_stable_step.hpp"

#include <algorithm>
#include <vector>

namespace cellgrade {

namespace {

BeamBody make_beams(const CrushSetup& setup, const BeamMesh& mesh) {
    const CrushNumerics& numerics = setup.numerics;
    const double density = setup.polymer.density_kg_per_m3;
    const SectionModuli moduli =
        section_moduli(youngs_modulus_Pa(setup.polymer), poissons_ratio(setup.polymer));
    BeamBlock beams = make_beam_block(mesh, moduli);
    LumpedMass mass =
        lumped_mass(mesh, beams, density,
                    numerics.scale_rotary_inertia ? RotaryRule::RaisedToAxial : RotaryRule::True);
    if (setup.section == SectionKind::Resultants) {
        set_bulk_viscosity(beams, numerics.bulk_viscosity, density, moduli);
        return {mesh, std::move(beams), std::move(mass)};
    }
    FibreBlock fibres =
        make_fibre_block(mesh, moduli, make_uniaxial_table(setup.polymer.law), setup.polymer.prony,
                         DiscRule::Twelve, setup.polymer.damage);
    set_bulk_viscosity(fibres.beams, numerics.bulk_viscosity, density, moduli);
    return {mesh, std::move(fibres), std::move(mass)};
}

SolidBody make_solid(const CrushSetup& setup, const TetMesh& mesh) {
    const double density = setup.polymer.density_kg_per_m3;
    TetBlock block =
        make_tet_block(mesh, setup.polymer.law, setup.polymer.prony, setup.polymer.damage);
    TetMass mass = tet_lumped_mass(mesh, block, density);
    set_bulk_viscosity(block, setup.numerics.bulk_viscosity, setup.numerics.quadratic_viscosity,
                       density);
    if (setup.loading.strain_rate_per_s) { // quasi-static: inertia is not part of the result
        std::vector<double> omega(mesh.tets.size());
        tet_element_omegas(block, mass, rest_positions(mesh), omega);
        raise_small_masses(mass, mesh, omega, setup.numerics.added_mass_share);
    }
    return {mesh, std::move(block), std::move(mass)};
}

} // namespace

Body make_body(const CrushSetup& setup) {
    if (const TetMesh* mesh = solid(setup.mesh))
        return make_solid(setup, *mesh);
    return make_beams(setup, *beams(setup.mesh));
}

double smallest_radius(const BeamMesh& mesh) {
    double r = mesh.elements.front().radius;
    for (const BeamElement& e : mesh.elements)
        r = std::min(r, e.radius);
    return r;
}

} // namespace cellgrade
