// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/crush_traits.hpp"

namespace cellgrade {

const std::vector<TraitDefinition>& trait_definitions() {
    static const std::vector<TraitDefinition> definitions = {
        {"quasi_elastic_gradient_Pa", "Pa",
         "slope of the first straight part: median of the slopes of all pairs of rows (at most 200 "
         "rows) between 20 and 70 % of the collapse stress on the first rise; of the plateau "
         "stress when there is no first maximum, of the largest stress up to 20 % strain when "
         "there is no plateau either. It is not the modulus of the solid",
         "term: ISO 13314:2011 (from memory); median slope: Sen (1968), J. Am. Stat. Assoc. 63, "
         "1379"},
        {"collapse_stress_Pa", "Pa",
         "first maximum of the stress before 20 % strain, at least half of the plateau stress, "
         "that the stress leaves by 5 % (moving average over 0.5 % strain to either side, height "
         "from a local parabola); without one, the crossing with the straight part moved by 1 % "
         "strain",
         "first maximum: ISO 13314:2011, ISO 844 (from memory); offset of 1 %: common practice, no "
         "source"},
        {"collapse_strain", "1", "strain at the collapse stress", "as the collapse stress"},
        {"plateau_stress_Pa", "Pa",
         "mean of the stress over strain from 20 to 40 %, weighed by strain",
         "ISO 13314:2011 (from memory)"},
        {"plateau_end_strain", "1",
         "last strain, past 20 %, at which the stress (local parabola over 1 % strain to either "
         "side) rises through 1.3 times the plateau stress",
         "ISO 13314:2011 (from memory)"},
        {"densification_strain", "1",
         "strain at the last maximum of the efficiency, W(e) over the largest stress up to e, that "
         "is "
         "within 5 % of its greatest and that the efficiency leaves by 5 % (stress by local "
         "parabola "
         "over 1 % strain to either side)",
         "Miltz & Gruenbaum (1981), Polym. Eng. Sci. 21, 1010; Li, Magkiriadis & Harrigan (2006), "
         "J. Cell. Plast. 42, 371 (last global maximum); the shares of 5 % are ours"},
        {"densification_stress_Pa", "Pa", "stress at the densification strain (local parabola)",
         "as the densification strain"},
        {"energy_to_50_J_per_m3", "J/m^3", "area under the loading curve up to 50 % strain",
         "ISO 13314:2011 (from memory)"},
        {"energy_J_per_m3", "J/m^3", "area under the loading curve up to the densification strain",
         "Li, Magkiriadis & Harrigan (2006), J. Cell. Plast. 42, 371"},
        {"sea_J_per_kg", "J/kg", "energy_J_per_m3 / (relative density x density of the solid)",
         "definition"},
        {"efficiency", "1", "W(e) over the largest stress up to e, at the densification strain",
         "Miltz & Gruenbaum (1981), Polym. Eng. Sci. 21, 1010"},
        {"ideality", "1",
         "W / (largest recorded stress up to the densification strain x that strain)",
         "Avalle, Belingardi & Montanini (2001), Int. J. Impact Eng. 25, 455; energy efficiency of "
         "ISO 13314:2011 (from memory)"},
        {"dissipated_fraction", "1",
         "area of the loop / area under the loading curve; the unloading ends where the stress "
         "falls to 0.1 % of the largest",
         "definition"},
        {"residual_strain", "1",
         "strain at which the unloading stress falls to 0.1 % of the largest, or meets zero",
         "definition"},
    };
    return definitions;
}

} // namespace cellgrade
