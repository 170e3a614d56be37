// SPDX-License-Identifier: Apache-2.0
// What one hit tells, under the names of solver/choice/impact_traits.cpp. Injury criteria are
// computed when they are asked for.
import { headInjuryCriterion, hic15Window_s, hic36Window_s, severityIndex } from "./injury.mjs";

export const GRAVITY = 9.80665; // m/s^2

export class ImpactTraits {
    #known = new Map();
    #run;

    constructor(run, blow) {
        this.#run = run;
        this.mass_kg = blow.mass_kg;
        this.peak_force_N = run.peakForce_N;
        this.peak_acceleration_g = run.peakForce_N / blow.mass_kg / GRAVITY;
        this.largest_depth_m = run.largestDepth_m;
        this.largest_strain = run.largestStrain;
        this.pulse_s = run.time_s[run.time_s.length - 1];
        this.rebound_speed_m_per_s = run.reboundSpeed_m_per_s;
        this.restitution = run.reboundSpeed_m_per_s / blow.speed_m_per_s;
        this.impact_energy_J = 0.5 * blow.mass_kg * blow.speed_m_per_s ** 2;
        this.absorbed_energy_J = run.workIn_J;
        this.returned_energy_J = run.workBack_J;
    }

    #once(name, compute) {
        if (!this.#known.has(name)) this.#known.set(name, compute());
        return this.#known.get(name);
    }

    /// What an accelerometer on the body reads, force / mass.
    get acceleration_g() {
        return this.#once("g", () => this.#run.force_N.map((f) => f / this.mass_kg / GRAVITY));
    }

    get time_s() { return this.#run.time_s; }

    #hic(window_s) {
        return this.#once(window_s, () =>
            headInjuryCriterion(this.time_s, this.acceleration_g, window_s));
    }

    get hic15Window() { return this.#hic(hic15Window_s); }
    get hic15() { return this.#hic(hic15Window_s).value; }
    get hic36() { return this.#hic(hic36Window_s).value; }
    get severity_index() {
        return this.#once("si", () => severityIndex(this.time_s, this.acceleration_g));
    }
}
