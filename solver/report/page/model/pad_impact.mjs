// SPDX-License-Identifier: Apache-2.0
// What one blow does to a pad of every grade, and how the grades rank: the parts of
// solver/choice/impact_answer.cpp and rank.cpp that the explorer shows.
import { Foundation } from "./foundation.mjs";
import { followImpact, page } from "./impact_run.mjs";
import { flat, sphere } from "./striker.mjs";

const GRAVITY = 9.80665, MOST_DOUBT = 0.9;

/// blow: { mass_kg, speed_m_per_s, thickness_m, area_m2, shape, radius_m, limit_g (null: none) }
function run(response, blow, factor, accuracy) {
    const striker = blow.shape === "flat" ? flat() : sphere(blow.radius_m);
    const foundation = new Foundation(response, striker, blow, factor, accuracy.rings);
    return followImpact(foundation, blow, accuracy);
}

const peak_g = (hit, blow) => hit.peakForce_N / blow.mass_kg / GRAVITY;

/// The hit with the table's stresses as they are.
export function strike(grade, blow, accuracy = page) {
    const hit = run(grade.response, blow, 1, accuracy);
    const densified = grade.response.densificationStrain(hit.rateAtTurn_per_s);
    return {
        grade, hit,
        peak_g: peak_g(hit, blow),
        peakForce_N: hit.peakForce_N,
        depth_m: hit.largestDepth_m,
        largestStrain: hit.largestStrain,
        pulse_s: hit.time_s[hit.time_s.length - 1],
        restitution: hit.reboundSpeed_m_per_s / blow.speed_m_per_s,
        mass_kg: grade.density_kg_per_m3 * blow.area_m2 * blow.thickness_m,
        bottomed: hit.largestStrain > grade.response.lastStrain,
        densified: densified !== null && hit.largestStrain > densified,
        low_g: null, high_g: null, softerBottomed: false,
    };
}

/// Adds the smallest and largest peak when all stresses are less and more by their doubt.
export function addDoubt(answer, blow, accuracy = page) {
    const { response } = answer.grade;
    if (response.doubt === null) return answer;
    const doubt = Math.min(response.doubt, MOST_DOUBT);
    const hits = [1 - doubt, 1 + doubt].map((factor) => run(response, blow, factor, accuracy));
    const peaks = [answer.peak_g, ...hits.map((hit) => peak_g(hit, blow))];
    answer.low_g = Math.min(...peaks);
    answer.high_g = Math.max(...peaks);
    answer.softerBottomed = hits.some((hit) => hit.largestStrain > response.lastStrain);
    return answer;
}

/// 0 met, 1 met with unknown doubt, 2 within doubt, 3 not met, 4 unknown: bottomed.
export const verdicts = ["met", "met, doubt not known", "within doubt", "not met",
    "unknown: bottomed"];
export function verdict(answer, limit_g) {
    if (answer.bottomed) return 4;
    if (limit_g === null) return 0;
    if (answer.peak_g > limit_g) return 3;
    if (answer.high_g === null) return 1;
    return answer.softerBottomed || answer.high_g > limit_g ? 2 : 0;
}

/// Best first: the better verdict, then the lower peak, then the lighter pad.
export function ranked(answers, limit_g) {
    return [...answers].sort((a, b) => verdict(a, limit_g) - verdict(b, limit_g)
        || a.peak_g - b.peak_g || a.mass_kg - b.mass_kg);
}

/// Least peak that any pad of the thickness can have: speed^2 / (2 g thickness).
export function idealPeak_g(blow) {
    return blow.speed_m_per_s ** 2 / (2 * GRAVITY * blow.thickness_m);
}
