// SPDX-License-Identifier: Apache-2.0
// What a reader must know about an answer: the notes of solver/choice/impact_answer.cpp, of one pad
// and of all.
import { figures } from "./element.mjs";
import { MOST_DOUBT } from "./model/pad_impact.mjs";
import { sphere } from "./model/striker.mjs";

const ROUND_CONTACT = 3; // thicknesses; a wider contact is nearly flat

function strainNotes({ hits, grade }) {
    const last = figures(grade.response.lastStrain);
    return hits.map((hit, k) => {
        const name = hits.length > 1 ? `Hit ${k + 1}` : "The hit";
        if (hit.bottomed)
            return `${name} bottoms: the table ends at a strain of ${last}. Beyond it an invented `
                + "stiffening was used, and nothing of this pad is a result.";
        if (hit.softerBottomed)
            return `${name} bottoms when stresses are less by their doubt: the table ends at a strain `
                + `of ${last}.`;
        if (hit.densified)
            return `${name} goes past densification: a strain of `
                + `${figures(hit.traits.largest_strain)}, densification at `
                + `${figures(hit.densification)}.`;
        return null;
    }).filter((note) => note !== null);
}

function rateNote({ hits, grade }, blow) {
    const atTouch = blow.speed_m_per_s / blow.thickness_m;
    const low = Math.min(atTouch, ...hits.map((hit) => hit.run.rateAtTurn_per_s));
    const { lowest_rate_per_s: lowest, highest_rate_per_s: highest } = grade, slack = 1e-6;
    if (low >= lowest * (1 - slack) && atTouch <= highest * (1 + slack)) return [];
    return [`Strain rates of ${figures(low)} to ${figures(atTouch)} 1/s occur; the table knows `
        + (lowest === highest ? `${figures(lowest)} 1/s only, which is used throughout.`
            : `${figures(lowest)} to ${figures(highest)} 1/s and its ends are held.`)];
}

function contactNote({ hits }, blow) {
    if (blow.shape === "flat") return [];
    const depth = Math.max(...hits.map((hit) => hit.traits.largest_depth_m));
    const area = sphere(blow.radius_m).areaAt(depth);
    const reach = Math.sqrt(area / Math.PI) / blow.thickness_m;
    if (area > blow.area_m2)
        return [`The contact outgrows the pad: ${figures(area * 1e6)} of `
            + `${figures(blow.area_m2 * 1e6)} mm\u00b2. Nothing beyond the pad carries.`];
    if (reach >= ROUND_CONTACT) return [];
    return [`The contact reaches ${figures(reach, 2)} thicknesses from its middle, and columns do not `
        + "pull at their neighbours: against full drops at 0.8 to 2.1 thicknesses depth was 2 to "
        + "30 % and peak 4 to 16 % too high, most for cells stiff in shear. cellgrade drop --against "
        + "compares."];
}

function layersNotes({ hits, grade: { response, layersKnownTo_Pa } }) {
    const largest = Math.max(...hits.map(({ run, traits }) => response.stress_Pa(
        traits.largest_strain, response.placeOfRate(run.rateAtTurn_per_s))));
    return ["Layers carry the same stress, each as stiff as in its own crush. Densification of layers "
        + "is not told here.",
    ...(largest > layersKnownTo_Pa ? ["A layer is pressed past the end of its curve ("
        + `${figures(layersKnownTo_Pa / 1e6)} MPa, ${figures(largest / 1e6)} MPa occur) and taken as `
        + "rigid there: peaks come out high, against a full drop by up to a third. Crush its grade "
        + "further."] : [])];
}

/// Of one pad, most severe first.
export function answerNotes(answer, blow) {
    const { grade } = answer, { doubt } = grade.response, missing = grade.not_estimated;
    return [
        ...strainNotes(answer), ...rateNote(answer, blow), ...contactNote(answer, blow),
        ...(grade.unloads ? [] : ["The table does not unload: the way back is taken as elastic, so "
            + "rebound, pulse and injury criteria are upper bounds."]),
        ...(grade.layers ? layersNotes(answer) : []),
        ...(grade.outside_card ? ["Curves lean on the polymer's law beyond its tests, which no "
            + `interval holds: ${grade.outside_card}.`] : []),
        ...(doubt === null ? ["No interval: the table has no uncertainty of plateau stress and "
            + "energy at this grade."]
            : missing ? [`Not in the interval, not estimated in the table: ${missing}.`] : []),
        ...(doubt > MOST_DOUBT ? [`The table's doubt of ${figures(doubt, 2)} of the stress is cut to `
            + `${MOST_DOUBT}.`] : []),
    ];
}

/// Of all pads alike.
export function commonNotes(state) {
    const notes = [];
    if (state.hits > 1)
        notes.push("Later hits assume that a pad loads again as it unloaded, recovery "
            + `${figures(state.recovery_share)}: no table tells it, not verified.`);
    if (state.limit !== null && (state.limit_of.startsWith("hic")
        || state.limit_of === "severity_index"))
        notes.push("HIC and the severity index here are those of the body as one rigid mass that "
            + "meets a bare pad: no shell, no neck.");
    return notes;
}
