// SPDX-License-Identifier: Apache-2.0
// What the explorer's controls set: a blow, a pad and a limit, and a place to begin at.
import { GRAVITY } from "./model/impact_traits.mjs";
import { limitable } from "./model/rank.mjs";

const median = (values) => [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)];

/// A blow that takes the middle grade to about half of its way.
export function firstBlow(grades) {
    const thickness_m = 0.025, area_m2 = 8e-3;
    const rate = median(grades.map((grade) => grade.highest_rate_per_s));
    const speed = Math.min(Math.max(rate * thickness_m, 0.5), 6);
    const energies = grades.map(({ response }) => {
        const place = response.placeOfRate(rate), to = 0.5 * response.lastStrain, n = 100;
        let sum = 0;
        for (let i = 0; i < n; ++i) sum += response.stress_Pa((i + 0.5) / n * to, place) * to / n;
        return sum;
    });
    const mass = 2 * median(energies) * area_m2 * thickness_m / speed ** 2;
    const round = (value) => Number(value.toPrecision(2));
    return { mass_kg: round(mass), speed_m_per_s: round(speed), thickness_mm: 25, area_mm2: 8000,
        shape: "flat", radius_mm: 90, hits: 1, recovery_share: 0, limit_of: limitable[0].name,
        limit: null, layers: "none" };
}

const height_m = (speed_m_per_s) => speed_m_per_s ** 2 / (2 * GRAVITY);
const SLOWEST = 0.2, FASTEST = 12; // m/s

/// Settings with a number and a slider; `get` and `put` where the state keeps another quantity.
export const settings = {
    mass_kg: { name: "mass", unit: "kg", low: 0.05, high: 20 },
    speed_m_per_s: { name: "speed at the touch", unit: "m/s", low: SLOWEST, high: FASTEST },
    drop_height_m: { name: "or height of a free fall", unit: "m", low: height_m(SLOWEST),
        high: height_m(FASTEST), get: (state) => height_m(state.speed_m_per_s),
        put: (state, height) => { state.speed_m_per_s = Math.sqrt(2 * GRAVITY * height); } },
    radius_mm: { name: "radius of the sphere", unit: "mm", low: 10, high: 400,
        shown: (state) => state.shape === "sphere" },
    hits: { name: "hits on the same place", unit: "", low: 1, high: 5, step: 1 },
    recovery_share: { name: "recovery between hits (0 as left, 1 as new)", unit: "", low: 0, high: 1,
        step: 0.05, anyNumber: true, shown: (state) => state.hits > 1 },
    thickness_mm: { name: "pad thickness", unit: "mm", low: 5, high: 80 },
    area_mm2: { name: "pad area", unit: "mm\u00b2", low: 200, high: 60000 },
};

export const blowOf = (state) => ({ mass_kg: state.mass_kg, speed_m_per_s: state.speed_m_per_s,
    thickness_m: state.thickness_mm * 1e-3, area_m2: state.area_mm2 * 1e-6, shape: state.shape,
    radius_m: state.radius_mm * 1e-3, hits: state.hits, recovery_share: state.recovery_share });

export const quantityOf = (state) => limitable.find(({ name }) => name === state.limit_of);

/// The limit in SI; its value is null while none is set.
export const limitOf = (state) => ({ name: state.limit_of,
    value: state.limit === null ? null : state.limit * quantityOf(state).scale });
