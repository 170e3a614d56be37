// SPDX-License-Identifier: Apache-2.0
// Strikes every grade of the table while sliders move, and ranks them.
import * as Plot from "@observablehq/plot";
import { whenWidthChanges } from "./charts.mjs";
import { element, figures } from "./element.mjs";
import { colours, dashes, lineSample, plotStyle } from "./look.mjs";
import { GradeResponse } from "./model/grade_response.mjs";
import { addDoubt, idealPeak_g, ranked, strike, verdict, verdicts } from "./model/pad_impact.mjs";

const SHOWN = 5; // force curves drawn at a time
const median = (values) => [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)];

/// A blow that takes the middle grade to about half of its way: a place to begin at.
function firstBlow(grades) {
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
        shape: "flat", radius_mm: 90, limit_g: null };
}

const settings = [
    { key: "mass_kg", name: "mass", unit: "kg", low: 0.05, high: 20 },
    { key: "speed_m_per_s", name: "speed", unit: "m/s", low: 0.2, high: 12 },
    { key: "thickness_mm", name: "pad thickness", unit: "mm", low: 5, high: 80 },
    { key: "area_mm2", name: "pad area", unit: "mm\u00b2", low: 200, high: 60000 },
    { key: "radius_mm", name: "radius of the sphere", unit: "mm", low: 10, high: 400 },
];

/// A number and a slider over its logarithm, each following the other.
function control(setting, state, changed) {
    const number = element("input", { type: "number", step: "any", min: setting.low,
        max: setting.high, value: state[setting.key], "aria-label": `${setting.name} in ${setting.unit}`,
        "data-key": setting.key });
    const slider = element("input", { type: "range", min: Math.log(setting.low),
        max: Math.log(setting.high), step: 0.005, value: Math.log(state[setting.key]),
        "aria-label": `${setting.name}, slider` });
    const take = (value) => {
        if (!(value >= setting.low && value <= setting.high)) {
            number.setAttribute("aria-invalid", "true");
            return;
        }
        number.removeAttribute("aria-invalid");
        state[setting.key] = value;
        changed();
    };
    number.addEventListener("input", () => {
        take(Number(number.value));
        slider.value = Math.log(state[setting.key]);
    });
    slider.addEventListener("input", () => {
        number.value = Number(Math.exp(Number(slider.value)).toPrecision(2));
        take(Math.min(Math.max(Number(number.value), setting.low), setting.high));
    });
    return element("div", { class: "control", "data-for": setting.key },
        element("span", {}, setting.name), number, element("span", { class: "unit" }, setting.unit),
        slider);
}

const blowOf = (state) => ({ mass_kg: state.mass_kg, speed_m_per_s: state.speed_m_per_s,
    thickness_m: state.thickness_mm * 1e-3, area_m2: state.area_mm2 * 1e-6, shape: state.shape,
    radius_m: state.radius_mm * 1e-3, limit_g: state.limit_g });

function row(answer, place, before, state) {
    const v = verdict(answer, state.limit_g);
    const moved = before.has(answer.grade) ? before.get(answer.grade) - place : 0;
    const arrow = moved === 0 ? "" : moved > 0 ? `\u25b2${moved}` : `\u25bc${-moved}`;
    const { bottomed } = answer;
    const kind = { met: "good", "met, doubt not known": "good", "within doubt": "doubt" }[verdicts[v]]
        ?? "bad";
    const words = bottomed ? "bottoms: no result" : state.limit_g !== null ? verdicts[v]
        : answer.densified ? "past densification" : "within the curve";
    const sign = kind === "good" && !(answer.densified && state.limit_g === null) ? "\u2713"
        : kind === "bad" ? "\u2717" : "?";
    const cell = (text) => element("td", { class: "number" }, text);
    return element("tr", { class: bottomed ? "no-result" : place === 0 ? "chosen" : "",
        "data-grade": answer.grade.label },
    cell(String(place + 1)), element("td", {}, element("small", { class: "moved" }, arrow)),
    element("td", {}, answer.grade.label),
    element("td", {}, element("span", { class: `mark ${sign === "?" ? "doubt" : kind}` },
        element("b", { "aria-hidden": "true" }, sign), ` ${words}`)),
    cell(bottomed ? "-" : figures(answer.peak_g)),
    cell(bottomed || answer.high_g === null ? "-"
        : `${figures(answer.low_g)} to ${figures(answer.high_g)}`),
    cell(bottomed ? "-" : figures(answer.peakForce_N / 1e3)),
    cell(bottomed ? "-" : figures(answer.depth_m * 1e3)),
    cell(bottomed ? "-" : figures(answer.largestStrain)),
    cell(bottomed ? "-" : figures(answer.pulse_s * 1e3)), cell(figures(answer.mass_kg * 1e3)));
}

const heads = ["place", "", "grade", "", "peak [g]", "with doubt [g]", "peak force [kN]",
    "depth [mm]", "largest strain", "pulse [ms]", "mass of pad [g]"];

function forcePlot(answers, width) {
    const rows = answers.flatMap((answer, k) => {
        const { depth_m, force_N } = answer.hit, every = Math.max(1, Math.floor(depth_m.length / 250));
        return depth_m.map((depth, i) => ({ x: depth * 1e3, y: force_N[i] / 1e3, k,
            label: answer.grade.label })).filter((p, i) => i % every === 0 && p.x >= 0);
    });
    return Plot.plot({ width, height: 280, marginLeft: 50, marginBottom: 40, style: plotStyle,
        ariaLabel: "force over depth",
        x: { label: "depth [mm]", labelAnchor: "center", labelArrow: "none", grid: true, nice: true },
        y: { label: "force [kN]", labelArrow: "none", grid: true, nice: true },
        marks: [...answers.map((_, k) => Plot.line(rows.filter((p) => p.k === k), { x: "x", y: "y",
            stroke: colours[k % colours.length], strokeDasharray: dashes[k % dashes.length],
            strokeWidth: 1.8 })),
        Plot.tip(rows, Plot.pointer({ x: "x", y: "y", maxRadius: 60, title: (p) =>
            `${p.label}\ndepth ${figures(p.x)} mm\nforce ${figures(p.y)} kN` }))] });
}

function notesOf(grades, state) {
    const notes = [];
    const rate = state.speed_m_per_s / (state.thickness_mm * 1e-3);
    const low = Math.max(...grades.map((g) => g.lowest_rate_per_s));
    const high = Math.min(...grades.map((g) => g.highest_rate_per_s));
    if (rate > high * (1 + 1e-9) || rate < low * (1 - 1e-9))
        notes.push(`The touch is at ${figures(rate)} 1/s; the table knows ${figures(low)} to `
            + `${figures(high)} 1/s, and beyond these its ends are held.`);
    if (grades.some((g) => !g.unloads))
        notes.push("Some grades have no way back in the table: theirs is taken as elastic, so "
            + "pulse and rebound are upper bounds.");
    if (grades.some((g) => g.response.doubt === null))
        notes.push("Where no interval stands, the table does not know the doubt of its stresses.");
    if (state.shape === "sphere" && Math.PI * (state.radius_mm ** 2) > 0) {
        const reach = 2 * state.radius_mm * state.thickness_mm - state.thickness_mm ** 2;
        if (state.thickness_mm < state.radius_mm && Math.PI * reach > state.area_mm2)
            notes.push("Pressed in far enough, the sphere would touch more than the pad: nothing "
                + "beyond the pad carries.");
    }
    return notes;
}

export function mountExplorer(place, table) {
    const all = table.explorer.map((grade) => ({ ...grade, response: new GradeResponse(grade) }));
    if (all.length === 0) {
        place.replaceChildren(element("p", { class: "needs" }, "No grade of this table can be struck: ",
            table.explorer_left_out.join("; ")));
        return;
    }
    const temperatures = [...new Set(all.map((grade) => grade.temperature_C))];
    const state = { ...firstBlow(all), temperature_C: temperatures[0] };
    let before = new Map(), turn = 0, last = [];
    const body = element("tbody"), ideal = element("p", { class: "headline", "aria-live": "polite" });
    const notes = element("ul"), drawing = element("div", { class: "panels" });
    const keyList = element("ul", { class: "key" });

    const draw = () => {
        const shown = last.filter((answer) => !answer.bottomed).slice(0, SHOWN);
        drawing.replaceChildren(...(shown.length ? [element("div", {},
            element("h4", {}, "force over depth, the best that do not bottom"),
            forcePlot(shown, drawing.clientWidth || 640))] : []));
        keyList.replaceChildren(...shown.map((answer, k) => element("li", {},
            lineSample(colours[k % colours.length], dashes[k % dashes.length]),
            ` ${answer.grade.label}`)));
    };
    const show = (answers) => {
        last = ranked(answers, state.limit_g);
        body.replaceChildren(...last.map((answer, k) => row(answer, k, before, state)));
        draw();
    };
    /// Grade by grade, so that the page answers meanwhile; a newer change ends an older round.
    const answer = async () => {
        const mine = ++turn, blow = blowOf(state);
        const grades = all.filter((grade) => grade.temperature_C === state.temperature_C);
        before = new Map(last.map((each, k) => [each.grade, k]));
        place.dataset.state = "busy";
        ideal.textContent = `No pad of ${figures(state.thickness_mm)} mm can stay below `
            + `${figures(idealPeak_g(blow))} g at this speed: speed\u00b2 / (2 \u00d7 thickness). `
            + `Energy of the blow ${figures(0.5 * blow.mass_kg * blow.speed_m_per_s ** 2)} J.`;
        notes.replaceChildren(...notesOf(grades, state).map((note) => element("li", {}, note)));
        const answers = [];
        const rest = () => new Promise((go) => setTimeout(go));
        let since = performance.now();
        for (const [work, grade] of [...grades.map((g) => ["strike", g]),
            ...grades.map((g) => ["doubt", g])]) {
            try {
                if (work === "strike") answers.push(strike(grade, blow));
                else {
                    const known = answers.find((each) => each.grade === grade);
                    if (known) addDoubt(known, blow);
                }
            } catch (error) {
                notes.append(element("li", {}, `${grade.label}: ${error.message}`));
            }
            if (performance.now() - since > 30) {
                await rest();
                if (mine !== turn) return;
                since = performance.now();
            }
            if (work === "strike" && answers.length === grades.length) show(answers);
        }
        show(answers);
        place.dataset.state = "done";
    };
    const changed = () => { showRadius(); answer(); };
    const controls = settings.map((setting) => control(setting, state, changed));
    const radius = controls[settings.findIndex((setting) => setting.key === "radius_mm")];
    const showRadius = () => { radius.hidden = state.shape !== "sphere"; };
    const select = (name, key, values, text) => element("label", { class: "control" },
        element("span", {}, name), element("select", { "data-key": key, onchange: (event) => {
            state[key] = values[event.target.selectedIndex];
            changed();
        } }, ...values.map((value) => element("option", {}, text(value)))));
    const limit = element("label", { class: "control" }, element("span", {}, "limit on the peak"),
        element("input", { type: "number", min: 1, step: "any", placeholder: "none",
            "data-key": "limit_g", oninput: (event) => {
                const value = Number(event.target.value);
                state.limit_g = event.target.value !== "" && value > 0 ? value : null;
                before = new Map(last.map((each, k) => [each.grade, k]));
                show(last);
            } }), element("span", { class: "unit" }, "g"));
    place.replaceChildren(
        element("form", { class: "controls", onsubmit: (event) => event.preventDefault() },
            select("what strikes", "shape", ["flat", "sphere"],
                (shape) => (shape === "flat" ? "a flat body" : "a sphere")),
            ...controls, limit,
            ...(temperatures.length > 1 ? [select("temperature", "temperature_C", temperatures,
                (t) => `${figures(t)} \u00b0C`)] : [])),
        ideal,
        element("div", { class: "wide", tabindex: 0, role: "region", "aria-label": "grades by rank" },
            element("table", {}, element("caption", {}, "Grades by rank: ",
                "limits first, then the lower peak, then the lighter pad"),
            element("thead", {}, element("tr", {}, ...heads.map((head, k) => element("th",
                { scope: "col", class: k === 0 || k > 3 ? "number" : "" }, head)))), body)),
        drawing, keyList, notes);
    showRadius();
    whenWidthChanges(drawing, draw);
    answer();
}
