// SPDX-License-Identifier: Apache-2.0
// Curves of a grade table: which cells, densities, rates and temperatures are shown, and how far
// they may be off.
import * as Plot from "@observablehq/plot";
import { whenWidthChanges } from "./charts.mjs";
import { element, figures } from "./element.mjs";
import { dashes, densityColour, lineSample, plotStyle } from "./look.mjs";

const MPa = 1e6;
const sorted = (values) => [...new Set(values)].sort((a, b) => a - b);

/// "1.5 1/s", and what else a case differs in.
const rateText = (row) => `${figures(row.strain_rate_per_s)} 1/s`;
function conditionText(row) {
    const parts = [];
    if (row.direction_text !== "[001]") parts.push(row.direction_text);
    if (row.temperature_C !== null) parts.push(`${figures(row.temperature_C)} \u00b0C`);
    if (row.load !== "compression") parts.push(row.load);
    return parts.join(", ");
}

function seriesOf(table) {
    const whole = (values) => values.every((value) => value !== null);
    return table.cases.filter((row) => row.curve.turn > 1 && whole(row.curve.nominal_strain)
        && whole(row.curve.nominal_stress_Pa)).map((row) => {
        const sheared = row.load === "shear" && row.curve.shear_strain;
        const doubt = row.uncertainty.plateau_stress_Pa?.combined ?? null;
        return {
            row,
            x: sheared ? row.curve.shear_strain : row.curve.nominal_strain,
            y: (sheared ? row.curve.shear_stress_Pa : row.curve.nominal_stress_Pa)
                .map((stress) => stress / MPa),
            trusted: row.status === "trusted",
            panel: row.cell, density: row.relative_density, rate: rateText(row),
            condition: conditionText(row),
            doubt: doubt === null || !row.traits.plateau_stress_Pa ? null
                : doubt / row.traits.plateau_stress_Pa,
        };
    });
}

/// A group of boxes to tick; `shown` holds the values that are ticked.
function boxes(name, values, label, shown, changed) {
    if (values.length < 2) return null;
    return element("fieldset", {}, element("legend", {}, name), ...values.map((value) =>
        element("label", {}, element("input", { type: "checkbox", checked: shown.has(value),
            onchange: (event) => {
                if (event.target.checked) shown.add(value);
                else shown.delete(value);
                changed();
            } }), " ", ...[label(value)].flat())));
}

function panelPlot(series, look, axes, width, withDoubt) {
    const rows = series.flatMap((s) => s.x.map((x, i) => ({ x, y: s.y[i], s }))
        .filter((p) => p.y <= axes.y && p.x <= axes.x));
    const marks = [Plot.ruleY([0], { stroke: "#999" })];
    for (const s of series) {
        const points = s.x.map((x, i) => ({ x, y: s.y[i] }));
        if (withDoubt && s.trusted && s.doubt)
            marks.push(Plot.areaY(points.slice(0, s.row.curve.turn), { x: "x",
                y1: (p) => p.y * (1 - s.doubt), y2: (p) => p.y * (1 + s.doubt),
                fill: look.colour(s), fillOpacity: 0.16, clip: true }));
        marks.push(Plot.line(points, { x: "x", y: "y", clip: true, stroke: look.colour(s),
            strokeWidth: s.trusted ? 1.8 : 1.2, strokeOpacity: s.trusted ? 1 : 0.5,
            strokeDasharray: s.trusted ? look.dash(s) : "4 4" }));
    }
    const locked = series.filter((s) => s.trusted && s.row.traits.densification_strain !== null
        && s.row.load === "compression");
    marks.push(Plot.dot(locked, { x: (s) => s.row.traits.densification_strain,
        y: (s) => s.row.traits.densification_stress_Pa / MPa, r: 4, fill: "#fff",
        stroke: (s) => look.colour(s), strokeWidth: 2, clip: true }));
    marks.push(Plot.tip(rows, Plot.pointer({ x: "x", y: "y", maxRadius: 50, title: (p) =>
        `${p.s.panel} ${figures(p.s.density)}, ${p.s.rate}${p.s.condition && `, ${p.s.condition}`}`
        + `\nstrain ${figures(p.x)}\nstress ${figures(p.y)} MPa`
        + (p.s.trusted ? p.s.doubt ? ` \u00b1 ${figures(p.y * p.s.doubt, 1)}` : ""
            : "\nnot a result") })));
    return Plot.plot({
        width, height: Math.round(Math.max(230, Math.min(330, 0.75 * width))), marginLeft: 50,
        marginBottom: 40, style: plotStyle, marks, ariaLabel: `curves of ${series[0].panel}`,
        x: { label: "nominal strain", labelAnchor: "center", labelArrow: "none", grid: true,
            domain: [0, axes.x] },
        y: { label: "nominal stress [MPa]", labelArrow: "none", grid: true, domain: [0, axes.y] },
    });
}

function axesOf(series) {
    const trusted = series.filter((s) => s.trusted);
    const of = trusted.length ? trusted : series;
    const locked = Math.max(0, ...of.map((s) => s.row.traits.densification_stress_Pa ?? 0)) / MPa;
    const top = Math.max(...of.map((s) => Math.max(...s.y)));
    return { x: Math.max(...of.map((s) => Math.max(...s.x))),
        y: 1.02 * (locked > 0 ? Math.min(top, 2.5 * locked) : top) };
}

export function drawCurves(figure, table) {
    const all = seriesOf(table);
    if (all.length === 0) return;
    const cells = [...new Set(all.map((s) => s.panel))];
    const densities = sorted(all.map((s) => s.density));
    const rates = [...new Set(all.map((s) => s.rate))];
    const conditions = [...new Set(all.map((s) => s.condition))];
    const shown = { cells: new Set(cells), densities: new Set(densities), rates: new Set(rates),
        conditions: new Set([conditions[0]]), doubt: true, untrusted: false };
    const look = {
        colour: (s) => densityColour(densities.indexOf(s.density), densities.length),
        dash: (s) => dashes[rates.indexOf(s.rate) % dashes.length],
    };
    const place = element("div", { class: "panels curves" });
    const draw = () => {
        const picked = all.filter((s) => shown.cells.has(s.panel) && shown.rates.has(s.rate)
            && shown.densities.has(s.density) && shown.conditions.has(s.condition)
            && (s.trusted || shown.untrusted));
        if (picked.length === 0) {
            place.replaceChildren(element("p", { class: "needs" }, "No curve is picked."));
            return;
        }
        const room = place.clientWidth || 640;
        const panels = cells.filter((cell) => picked.some((s) => s.panel === cell));
        const across = Math.max(1, Math.min(panels.length, Math.floor(room / 330)));
        const width = Math.floor(room / across) - (across > 1 ? 14 : 0);
        const axes = axesOf(picked);
        place.replaceChildren(...panels.map((cell) => {
            const series = picked.filter((s) => s.panel === cell);
            return element("div", {}, element("h4", {}, cell),
                panelPlot(series, look, axes, width, shown.doubt));
        }));
    };
    const some = (name, values, label, set) => boxes(name, values, label, set, draw);
    const tick = (name, key, there) => (there ? element("label", {}, element("input",
        { type: "checkbox", checked: shown[key], onchange: (event) => {
            shown[key] = event.target.checked;
            draw();
        } }), ` ${name}`) : null);
    const sample = (s) => lineSample(look.colour(s), look.dash(s));
    const parts = [
        some("cell", cells, (cell) => cell, shown.cells),
        some("relative density", densities, (density) => [sample({ density, rate: rates[0] }),
            ` ${figures(density)}`], shown.densities),
        some("strain rate", rates, (rate) => [lineSample("#333",
            dashes[rates.indexOf(rate) % dashes.length]), ` ${rate}`], shown.rates),
        some("conditions", conditions, (text) => text || "[001], as the card", shown.conditions),
        tick("band of one standard uncertainty", "doubt", all.some((s) => s.doubt)),
        tick("runs that are not results", "untrusted", all.some((s) => !s.trusted)),
    ].filter(Boolean);
    figure.querySelector("img").replaceWith(
        element("form", { class: "picks", onsubmit: (event) => event.preventDefault() }, ...parts),
        place);
    whenWidthChanges(place, draw);
}
