// SPDX-License-Identifier: Apache-2.0
// Entry of the page: replaces its still pictures by drawings that answer.
import { drawChart } from "./charts.mjs";
import { drawCurves } from "./curves.mjs";
import { element } from "./element.mjs";
import { mountExplorer } from "./explorer.mjs";
import { makeSortable } from "./tables.mjs";
import { drawTraits } from "./traits.mjs";
import { unpackBytes, unpackJson } from "./unpack.mjs";

const each = (selector, act) => document.querySelectorAll(selector).forEach(act);

/// One part that fails leaves its picture and says so; the others go on.
function attempt(place, act) {
    try {
        return act();
    } catch (error) {
        console.error(error);
        place.append(element("p", { class: "needs" }, `This part could not be drawn: ${error.message}`));
        return undefined;
    }
}

function openForPrint() {
    let folded = [];
    addEventListener("beforeprint", () => {
        folded = [...document.querySelectorAll("details:not([open])")];
        folded.forEach((part) => { part.open = true; });
    });
    addEventListener("afterprint", () => folded.forEach((part) => { part.open = false; }));
}

async function main() {
    document.documentElement.classList.add("scripts");
    openForPrint();
    const data = await unpackJson("cellgrade-data");
    each("table[data-sortable]", makeSortable);
    const charts = new Map();
    each("[data-chart]", (figure) => attempt(figure, () =>
        charts.set(figure.id, drawChart(figure, data.charts[Number(figure.dataset.chart)]))));
    each("[data-curves]", (figure) => attempt(figure, () =>
        drawCurves(figure, data.tables[Number(figure.dataset.curves)].table)));
    each("[data-traits]", (place) => attempt(place, () =>
        drawTraits(place, data.tables[Number(place.dataset.traits)].table)));
    each("[data-explorer]", (place) => attempt(place, () =>
        mountExplorer(place, data.tables[Number(place.dataset.explorer)])));
    for (const figure of document.querySelectorAll("[data-scene]")) {
        const k = Number(figure.dataset.scene);
        const bytes = await unpackBytes(`cellgrade-scene-${k}`);
        const chart = charts.get(figure.parentElement.querySelector("[data-chart]")?.id);
        const marks = (strain, goesBack) => chart?.mark(strain, goesBack ? 1 : 0);
        attempt(figure, () => globalThis.cellgradeScene(figure, data.scenes[k], bytes, marks));
    }
    document.documentElement.dataset.ready = "yes";
}

main().catch((error) => {
    console.error(error);
    document.querySelector("main").prepend(element("p", { class: "needs" },
        `The drawings of this page could not be made: ${error.message}. All numbers stand below.`));
});
