// SPDX-License-Identifier: Apache-2.0
// Pads of layers that carry the same stress, each at its own strain: solver/choice/layers.cpp over
// the thinned knots of the page. The curve of layers lies between those of layers that are all
// softer and all stiffer by a share, so thinning moves its stress by no larger share than theirs.
import { GradeResponse } from "./grade_response.mjs";
import { StraightLines } from "./knot_finder.mjs";

const NO_STRESS = 1e-9; // share of the largest: nothing can be told of a quotient
const SLOPE_STRAIN = 0.02; // over which the last slope is taken

/// First index whose value is at least, or with `past` above, a number.
function firstFrom(values, at, past) {
    let low = 0, high = values.length;
    while (low < high) {
        const middle = (low + high) >> 1;
        if (past ? values[middle] > at : values[middle] >= at) high = middle;
        else low = middle + 1;
    }
    return low;
}

/// The strain at which a held stress stands: the inverse of the largest stress so far. A stress
/// that is passed twice is there twice, before and after the strain jumps.
class StrainAtStress {
    constructor({ strain, stress }) {
        this.stress = [stress[0]];
        this.strain = [strain[0]];
        for (let i = 1; i < strain.length; ++i) {
            const largest = this.stress[this.stress.length - 1];
            if (stress[i] > largest && stress[i - 1] < largest) { // it rises past it again
                const t = (largest - stress[i - 1]) / (stress[i] - stress[i - 1]);
                this.add(strain[i - 1] + t * (strain[i] - strain[i - 1]), largest);
            }
            if (stress[i] >= largest) this.add(strain[i], stress[i]);
        }
        const end = strain[strain.length - 1]; // what never rises again ends at its largest stress
        if (this.strain[this.strain.length - 1] < end)
            this.add(end, this.stress[this.stress.length - 1]);
    }

    add(strain, stress) {
        this.strain.push(strain);
        this.stress.push(stress);
    }

    at(stress, above) {
        const s = this.stress, e = this.strain;
        if (above === s.length) return e[e.length - 1];
        if (above === 0 || s[above] === stress) return e[above];
        const t = (stress - s[above - 1]) / (s[above] - s[above - 1]);
        return e[above - 1] + t * (e[above] - e[above - 1]);
    }

    /// Just before the stress is passed, and just after it.
    before(stress) { return this.at(stress, firstFrom(this.stress, stress, false)); }
    after(stress) { return this.at(stress, firstFrom(this.stress, stress, true)); }
}

const rising = (values) => Float64Array.from(values).sort().filter((v, i, all) =>
    i === 0 || v > all[i - 1]);

function summed(layers, shares) {
    const strain = [], stress = [];
    const add = (e, s) => {
        if (strain.length === 0 || e > strain[strain.length - 1]) {
            strain.push(e);
            stress.push(s);
        } else stress[stress.length - 1] = s; // all layers are rigid here
    };
    for (const s of rising(layers.flatMap((layer) => layer.stress))) {
        add(layers.reduce((sum, layer, i) => sum + shares[i] * layer.before(s), 0), s);
        add(layers.reduce((sum, layer, i) => sum + shares[i] * layer.after(s), 0), s);
    }
    return { strain, stress };
}

/// Loading curve k of a grade to its own end, past the last strain that all its curves reach.
function loadingOf(knots, k) {
    const strain = [...knots.strain], stress = [...knots.stress_Pa[k]];
    knots.tail_strain[k].forEach((e, i) => {
        if (e <= strain[strain.length - 1]) return; // equal to seven figures
        strain.push(e);
        stress.push(knots.tail_stress_Pa[k][i]);
    });
    return { strain, stress };
}

/// The way back of curve k, strain rising to the turn.
function unloadingOf(knots, k, loading) {
    const turn = loading.strain[loading.strain.length - 1];
    const up = new StraightLines(loading.strain, loading.stress);
    const share = new StraightLines(knots.return_x[k], knots.return_share[k]);
    const strain = rising([...loading.strain, ...knots.return_x[k].map((x) => x * turn)]
        .filter((e) => e <= turn));
    return { strain: [...strain], stress: [...strain].map((e) => up.at(e) * share.at(e / turn)) };
}

/// h of a curve and its way back: the share of the loading stress that the way back keeps.
function returnShares(up, back) {
    const turn = up.strain[up.strain.length - 1], largest = Math.max(...up.stress);
    const x = rising([0, turn, ...up.strain, ...back.strain].filter((e) => e >= 0 && e <= turn));
    const loading = new StraightLines(up.strain, up.stress);
    const unloading = new StraightLines(back.strain, back.stress);
    const share = new Array(x.length).fill(1);
    for (let i = x.length - 2; i >= 0; --i) {
        const stress = loading.at(x[i]), left = x[i] < back.strain[0] ? 0 : unloading.at(x[i]);
        share[i] = stress <= NO_STRESS * largest ? share[i + 1]
            : Math.min(Math.max(left / stress, 0), 1);
    }
    return { x: [...x].map((e) => e / turn), share };
}

/// Knots of a pad of layers, for GradeResponse.
/// layers: knots of one cell, one polymer, one direction and one temperature
/// shares: of the thickness, one a layer, with a sum of 1
export function layeredKnots(layers, shares) {
    const [first] = layers, unloads = layers.every((layer) => layer.unloads);
    const out = { log_strain_rate: first.log_strain_rate, strain: [], stress_Pa: [],
        last_slope_Pa: [], return_x: [], return_share: [], steepest_Pa: 0,
        layersKnownTo_Pa: Infinity,
        densification_strain: first.log_strain_rate.map(() => null),
        uncertainty_share: layers.some((layer) => layer.uncertainty_share === null) ? null
            : Math.max(...layers.map((layer) => layer.uncertainty_share)) };
    first.log_strain_rate.forEach((_, k) => {
        const loading = layers.map((layer) => loadingOf(layer, k));
        out.layersKnownTo_Pa = Math.min(out.layersKnownTo_Pa,
            ...loading.map((line) => Math.max(...line.stress)));
        const up = summed(loading.map((line) => new StrainAtStress(line)), shares);
        out.strain.push(up.strain);
        out.stress_Pa.push(up.stress);
        if (!unloads) return;
        const back = summed(layers.map((layer, i) =>
            new StrainAtStress(unloadingOf(layer, k, loading[i]))), shares);
        const { x, share } = returnShares(up, back);
        out.return_x.push(x);
        out.return_share.push(share);
    });
    const last = Math.min(...out.strain.map((row) => row[row.length - 1]));
    out.strain.forEach((strain, k) => {
        const stress = out.stress_Pa[k], lines = new StraightLines(strain, stress);
        for (let i = 1; i < strain.length && strain[i - 1] < last; ++i)
            out.steepest_Pa = Math.max(out.steepest_Pa,
                (stress[i] - stress[i - 1]) / (strain[i] - strain[i - 1]));
        const before = Math.max(last - SLOPE_STRAIN, 0), end = lines.at(last);
        out.last_slope_Pa.push(Math.max((end - lines.at(before)) / (last - before),
            end / Math.max(1 - last, 1e-3)));
    });
    return out;
}

/// A pad of layers of equal thickness as a grade, the lightest at the struck side.
/// grades: of one family, density rising
export function layeredGrade(grades) {
    const share = 1 / grades.length, [first] = grades;
    const knots = layeredKnots(grades, grades.map(() => share));
    const density = (grade) => grade.label.slice(grade.cell.length + 1,
        grade.label.length - grade.label_end.length);
    const mean = (key) => grades.reduce((sum, grade) => sum + share * grade[key], 0);
    return { ...first, layers: grades, relative_density: mean("relative_density"),
        density_kg_per_m3: mean("density_kg_per_m3"),
        label: `${first.cell} ${grades.map(density).join(" + ")}${first.label_end}`,
        unloads: grades.every((grade) => grade.unloads),
        layersKnownTo_Pa: knots.layersKnownTo_Pa, response: new GradeResponse(knots) };
}

/// Grades of one family may lie on each other: one cell, polymer, direction and temperature.
export const familyOf = (grade) => [grade.cell, grade.polymer, grade.label_end].join("|");
