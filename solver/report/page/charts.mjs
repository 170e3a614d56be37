// SPDX-License-Identifier: Apache-2.0
// Charts that the program described as panels of lines, with values on hover.
import * as Plot from "@observablehq/plot";
import { element, figures } from "./element.mjs";
import { colours, dashes, lineSample, plotStyle } from "./look.mjs";

const points = (line) => line.x.map((x, i) => ({ x, y: line.y[i], label: line.label }))
    .filter((p) => p.x !== null && p.y !== null);

const lookOf = (line, k) => ({
    colour: line.doubtful ? "#888888" : colours[k % colours.length],
    dash: line.doubtful ? "5 4" : dashes[k % dashes.length],
});

function panelPlot(panel, width) {
    const rows = panel.lines.map(points);
    const all = rows.flat();
    const values = all.map((p) => p.y), top = Math.max(...values), low = Math.min(...values);
    const fromZero = low > -0.02 * top; // noise about rest opens no lower half
    const short = (name) => name.replace(/ \[.*/, "");
    return Plot.plot({
        width, height: Math.round(Math.max(240, Math.min(340, 0.62 * width))),
        marginLeft: 56, marginBottom: 42, style: plotStyle, ariaLabel: panel.name,
        x: { label: panel.x_name, labelAnchor: "center", labelArrow: "none", nice: true, grid: true },
        y: { label: panel.y_name, labelArrow: "none", nice: true, grid: true, zero: true,
            ...(fromZero && { domain: [0, 1.03 * top], nice: false }) },
        marks: [
            Plot.ruleY([0], { stroke: "#999" }),
            ...panel.levels.map((level) => Plot.ruleY([level.y],
                { stroke: "#444", strokeDasharray: "3 3" })),
            ...rows.map((row, k) => Plot.line(row, { x: "x", y: "y",
                stroke: lookOf(panel.lines[k], k).colour, strokeWidth: 2,
                strokeDasharray: lookOf(panel.lines[k], k).dash })),
            Plot.tip(all, Plot.pointer({ x: "x", y: "y", maxRadius: 60, title: (p) =>
                `${p.label}\n${short(panel.x_name)} ${figures(p.x)}\n${short(panel.y_name)} `
                + `${figures(p.y)}` })),
        ],
    });
}

function key(lines) {
    return element("ul", { class: "key" }, ...lines.map((line, k) => {
        const look = lookOf(line, k);
        return element("li", {}, lineSample(look.colour, look.dash), ` ${line.label}`);
    }));
}

/// Puts drawn panels in the place of the figure's picture, and again whenever its width changes.
/// @returns {object} { mark(x): moves a marker along the first line, or hides it for null }
export function drawChart(figure, panels) {
    const picture = figure.querySelector("img");
    const place = element("div", { class: "panels" });
    const many = Math.max(...panels.map((panel) => panel.lines.length)) > 1;
    let plots = [], marked = null;
    const showMark = () => {
        const [plot] = plots;
        if (!plot) return;
        plot.querySelector(".marker")?.remove();
        if (marked === null) return;
        const line = panels[0].lines[marked.line] ?? panels[0].lines[0];
        const at = nearest(line.x, marked.x);
        const spot = document.createElementNS("http://www.w3.org/2000/svg", "circle");
        const values = { class: "marker", r: 6, fill: "#fff", stroke: "#000", "stroke-width": 2.5,
            cx: plot.scale("x").apply(line.x[at]), cy: plot.scale("y").apply(line.y[at]) };
        for (const [name, value] of Object.entries(values)) spot.setAttribute(name, value);
        plot.append(spot);
    };
    const draw = () => {
        const room = place.clientWidth || 640;
        const width = panels.length > 1 && room > 760 ? Math.floor(room / panels.length) - 12 : room;
        plots = panels.map((panel) => panelPlot(panel, width));
        place.replaceChildren(...plots.map((plot, k) => element("div", {},
            element("h4", {}, panels[k].name), plot)));
        showMark();
    };
    picture.replaceWith(place);
    if (many) place.after(key(panels.reduce((a, b) => (b.lines.length > a.lines.length ? b : a))
        .lines));
    whenWidthChanges(place, draw);
    return { mark(x, line = 0) { marked = x === null ? null : { x, line }; showMark(); } };
}

function nearest(values, at) {
    let best = 0;
    values.forEach((value, i) => {
        if (Math.abs(value - at) < Math.abs(values[best] - at)) best = i;
    });
    return best;
}

/// Draws now and whenever an element gets another width.
export function whenWidthChanges(place, draw) {
    let width = -1;
    new ResizeObserver(() => {
        if (place.clientWidth === width) return;
        width = place.clientWidth;
        draw();
    }).observe(place);
}
