// SPDX-License-Identifier: Apache-2.0
// What a blow of one or more hits does to a pad of a grade: solver/choice/impact_answer.cpp.
import { Foundation } from "./foundation.mjs";
import { followImpact, page } from "./impact_run.mjs";
import { GRAVITY, ImpactTraits } from "./impact_traits.mjs";
import { flat, sphere } from "./striker.mjs";

export const MOST_DOUBT = 0.9; // of a stress; below a tenth nothing would stop the body

/// Every hit of a blow on one pad, one after another.
/// blow: { mass_kg, speed_m_per_s, thickness_m, area_m2, shape, radius_m, hits, recovery_share }
function* runs(response, blow, factor, accuracy) {
    const striker = blow.shape === "flat" ? flat() : sphere(blow.radius_m);
    const foundation = new Foundation(response, striker, blow, factor, accuracy.rings);
    const motion = { ...blow, resultToStrain: response.lastStrain };
    for (let hit = 0; hit < blow.hits; ++hit) {
        foundation.beginHit(blow.recovery_share);
        yield followImpact(foundation, motion, accuracy);
    }
}

/// The hits with the table's stresses as they are; yields after each and returns the answer, so that
/// a page can rest between them.
export function* striking(grade, blow, accuracy = page) {
    const { response } = grade, hits = [];
    for (const run of runs(response, blow, 1, accuracy)) {
        const densification = response.densificationStrain(run.rateAtTurn_per_s);
        hits.push({
            run, traits: new ImpactTraits(run, blow), byDoubt: [],
            bottomed: run.largestStrain > response.lastStrain, softerBottomed: false,
            densification, densified: densification !== null && run.largestStrain > densification,
        });
        yield;
    }
    return {
        grade, hits,
        mass_kg: grade.density_kg_per_m3 * blow.area_m2 * blow.thickness_m,
        bottomed: hits.some((hit) => hit.bottomed),
        densified: hits.some((hit) => hit.densified),
        softerBottomed: false,
    };
}

/// Adds the same hits with all stresses less and more by their doubt, when all are there; yields
/// after each and returns the answer.
export function* addingDoubt(answer, blow, accuracy = page) {
    const { response } = answer.grade;
    if (response.doubt === null || answer.hits[0].byDoubt.length > 0) return answer;
    const doubt = Math.min(response.doubt, MOST_DOUBT), found = [];
    for (const factor of [1 - doubt, 1 + doubt]) {
        const hits = [];
        for (const run of runs(response, blow, factor, accuracy)) {
            hits.push(run);
            yield;
        }
        found.push(hits);
    }
    answer.hits.forEach((hit, k) => {
        const byDoubt = found.map((hits) => hits[k]);
        hit.byDoubt = byDoubt.map((run) => new ImpactTraits(run, blow));
        hit.softerBottomed = byDoubt.some((run) => run.largestStrain > response.lastStrain);
    });
    answer.softerBottomed = answer.hits.some((hit) => hit.softerBottomed);
    return answer;
}

function finished(steps) {
    let each = steps.next();
    while (!each.done) each = steps.next();
    return each.value;
}
export const strike = (...words) => finished(striking(...words));
export const addDoubt = (...words) => finished(addingDoubt(...words));

/// Smallest and largest of a trait of one hit with its doubt; null: not known.
export function intervalOf(hit, name) {
    if (hit.byDoubt.length === 0) return null;
    const values = [hit.traits, ...hit.byDoubt].map((traits) => traits[name]);
    return [Math.min(...values), Math.max(...values)];
}

/// Number of the hit in which a trait is largest.
export const worstHit = (answer, name) => answer.hits.reduce((worst, hit, k) =>
    (hit.traits[name] > answer.hits[worst].traits[name] ? k : worst), 0);

/// Of all hits: { value, low, high }, the last two null where doubt is not known.
export function worstOf(answer, name) {
    const intervals = answer.hits.map((hit) => intervalOf(hit, name));
    const known = intervals.every((interval) => interval !== null);
    return {
        value: Math.max(...answer.hits.map((hit) => hit.traits[name])),
        low: known ? Math.max(...intervals.map(([low]) => low)) : null,
        high: known ? Math.max(...intervals.map(([, high]) => high)) : null,
    };
}

/// Least peak that any pad of the thickness can have: speed^2 / (2 g thickness).
export function idealPeak_g(blow) {
    return blow.speed_m_per_s ** 2 / (2 * GRAVITY * blow.thickness_m);
}
