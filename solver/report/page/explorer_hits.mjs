// SPDX-License-Identifier: Apache-2.0
// One pad hit by hit: what the body feels, with its doubt, and its pulse.
import * as Plot from "@observablehq/plot";
import { element, figures } from "./element.mjs";
import { colours, dashes, lineSample, plotStyle } from "./look.mjs";
import { intervalOf } from "./model/pad_impact.mjs";
import { answerNotes } from "./explorer_notes.mjs";

const shown = [
    { name: "peak_acceleration_g", words: "peak acceleration [g]", scale: 1 },
    { name: "peak_force_N", words: "peak force [kN]", scale: 1e3 },
    { name: "hic15", words: "HIC, windows to 15 ms", scale: 1 },
    { name: "hic36", words: "HIC, windows to 36 ms", scale: 1 },
    { name: "severity_index", words: "severity index", scale: 1 },
    { name: "pulse_s", words: "pulse [ms]", scale: 1e-3 },
    { name: "rebound_speed_m_per_s", words: "rebound speed [m/s]", scale: 1 },
    { name: "absorbed_energy_J", words: "energy taken up to the turn [J]", scale: 1 },
    { name: "returned_energy_J", words: "energy returned [J]", scale: 1 },
    { name: "largest_depth_m", words: "depth [mm]", scale: 1e-3 },
    { name: "largest_strain", words: "largest strain", scale: 1 },
];

function cellOf(hit, { name, scale }) {
    if (hit.bottomed) return element("td", { class: "number" }, "-");
    const interval = intervalOf(hit, name);
    return element("td", { class: "number" }, figures(hit.traits[name] / scale),
        ...(interval ? [" ", element("small", {}, `${figures(interval[0] / scale)} to `
            + `${figures(interval[1] / scale)}`)] : []));
}

function tableOf(answer) {
    const many = answer.hits.length > 1;
    const heads = answer.hits.map((hit, k) => element("th", { scope: "col", class: "number" },
        many ? `hit ${k + 1}` : "value", hit.bottomed ? " (bottoms)" : "",
        ...(hit.byDoubt.length ? [" ", element("small", {}, "with doubt")] : [])));
    return element("div", { class: "wide", tabindex: 0, role: "region",
        "aria-label": `${answer.grade.name}, hit by hit` },
    element("table", { class: "hits" },
        element("thead", {}, element("tr", {}, element("th", { scope: "col" }, "quantity"),
            ...heads)),
        element("tbody", {}, ...shown.map((quantity) => element("tr", { "data-name": quantity.name },
            element("th", { scope: "row" }, quantity.words),
            ...answer.hits.map((hit) => cellOf(hit, quantity)))))));
}

/// Acceleration over time, at most 300 points a hit; the window of HIC is a bar below its pulse.
function pulsePlot(hits, width) {
    const rows = hits.flatMap(({ traits, k }) => {
        const { time_s, acceleration_g } = traits, last = time_s.length - 1;
        const every = Math.max(1, Math.floor(last / 300));
        return time_s.map((t, i) => ({ x: t * 1e3, y: acceleration_g[i], k }))
            .filter((_, i) => i % every === 0 || i === last);
    });
    const windows = hits.map(({ traits, k }) => ({ ...traits.hic15Window, k }));
    const low = -0.035 * Math.max(...rows.map((p) => p.y));
    return Plot.plot({ width, height: 260, marginLeft: 50, marginBottom: 40, style: plotStyle,
        ariaLabel: "acceleration over time",
        x: { label: "time since the touch [ms]", labelAnchor: "center", labelArrow: "none",
            grid: true, nice: true },
        y: { label: "acceleration [g]", labelArrow: "none", grid: true, zero: true },
        marks: [...hits.flatMap(({ k }) => [
            Plot.line(rows.filter((p) => p.k === k), { x: "x", y: "y", stroke: colours[k],
                strokeDasharray: dashes[k], strokeWidth: 1.8 }),
            Plot.ruleY(windows.filter((w) => w.k === k), { y: low * (1 + k), strokeWidth: 4,
                x1: (w) => w.from_s * 1e3, x2: (w) => w.to_s * 1e3, stroke: colours[k] })]),
        Plot.tip(rows, Plot.pointer({ x: "x", y: "y", maxRadius: 60, title: (p) =>
            `hit ${p.k + 1}\n${figures(p.x)} ms\n${figures(p.y)} g` }))] });
}

/// Fills a place with a pad's hits; `width` of its drawing.
export function showHits(place, answer, blow, width) {
    const hits = answer.hits.map((hit, k) => ({ ...hit, k })).filter((hit) => !hit.bottomed);
    place.replaceChildren(element("h4", {}, `${answer.grade.name}: what the body feels`),
        tableOf(answer),
        ...(hits.length ? [pulsePlot(hits, width),
            element("ul", { class: "key" }, ...hits.map(({ k }) => element("li", {},
                lineSample(colours[k], dashes[k]), ` hit ${k + 1}`)),
            element("li", {}, "bars below 0: the window of HIC, to 15 ms"))] : []),
        element("ul", { class: "notes" },
            ...answerNotes(answer, blow).map((note) => element("li", {}, note))));
}
