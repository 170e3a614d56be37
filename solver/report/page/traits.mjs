// SPDX-License-Identifier: Apache-2.0
// SEA, plateau and densification over relative density; trusted rows alone.
import * as Plot from "@observablehq/plot";
import { whenWidthChanges } from "./charts.mjs";
import { element, figures } from "./element.mjs";
import { colours, dashes, plotStyle, symbols } from "./look.mjs";

const shown = [
    { name: "sea_J_per_kg", label: "SEA [J/g]", unit: 1e3 },
    { name: "plateau_stress_Pa", label: "plateau [MPa]", unit: 1e6 },
    { name: "densification_strain", label: "densification strain", unit: 1 },
];

function plotOf(trait, points, families, width) {
    return Plot.plot({
        width, height: 250, marginLeft: 50, marginBottom: 40, style: plotStyle,
        ariaLabel: `${trait.label} over relative density`,
        x: { label: "relative density", labelAnchor: "center", labelArrow: "none", grid: true,
            nice: true },
        y: { label: trait.label, labelArrow: "none", grid: true, zero: true, nice: true },
        marks: [
            ...families.map((family, k) => Plot.line(points.filter((p) => p.family === family),
                { x: "x", y: "y", stroke: colours[k % colours.length],
                    strokeDasharray: dashes[k % dashes.length], strokeWidth: 1.5 })),
            Plot.ruleX(points.filter((p) => p.doubt), { x: "x", y1: (p) => p.y - p.doubt,
                y2: (p) => p.y + p.doubt, stroke: "#666" }),
            ...families.map((family, k) => Plot.dot(points.filter((p) => p.family === family),
                { x: "x", y: "y", r: 4, symbol: symbols[k % symbols.length],
                    fill: colours[k % colours.length] })),
            Plot.tip(points, Plot.pointer({ x: "x", y: "y", maxRadius: 60, title: (p) =>
                `${p.family}\nrelative density ${figures(p.x)}\n${trait.label} ${figures(p.y)}`
                + (p.doubt ? ` \u00b1 ${figures(p.doubt, 1)}` : "") })),
        ],
    });
}

function key(families) {
    return element("ul", { class: "key" }, ...families.map((family, k) => {
        const sample = Plot.plot({ width: 34, height: 12, margin: 0, axis: null,
            x: { domain: [0, 1] }, y: { domain: [0, 1] }, marks: [
                Plot.line([[0, 0.5], [1, 0.5]], { stroke: colours[k % colours.length],
                    strokeDasharray: dashes[k % dashes.length], strokeWidth: 1.5 }),
                Plot.dot([[0.5, 0.5]], { r: 4, symbol: symbols[k % symbols.length],
                    fill: colours[k % colours.length] })] });
        sample.setAttribute("aria-hidden", "true");
        return element("li", {}, sample, ` ${family}`);
    }));
}

export function drawTraits(place, table) {
    const rows = table.cases.filter((row) => row.status === "trusted" && row.load === "compression");
    const familyOf = (row) => [row.cell, row.direction_text === "[001]" ? "" : row.direction_text,
        `${figures(row.strain_rate_per_s)} 1/s`,
        row.temperature_C === null ? "" : `${figures(row.temperature_C)} \u00b0C`]
        .filter(Boolean).join(", ");
    const families = [...new Set(rows.map(familyOf))];
    if (new Set(rows.map((row) => row.relative_density)).size < 2) return;
    const panels = element("div", { class: "panels" });
    const draw = () => {
        const room = panels.clientWidth || 640;
        const across = Math.max(1, Math.min(3, Math.floor(room / 300)));
        const width = Math.floor(room / across) - (across > 1 ? 14 : 0);
        panels.replaceChildren(...shown.map((trait) => {
            const points = rows.map((row) => ({ family: familyOf(row), x: row.relative_density,
                y: row.traits[trait.name] === null ? null : row.traits[trait.name] / trait.unit,
                doubt: (row.uncertainty[trait.name]?.combined ?? 0) / trait.unit }))
                .filter((p) => p.y !== null).sort((a, b) => a.x - b.x);
            return element("div", {}, plotOf(trait, points, families, width));
        }));
    };
    place.append(panels, key(families));
    whenWidthChanges(panels, draw);
}
