// SPDX-License-Identifier: Apache-2.0
// Strikes every pad of the table while controls move, ranks them, and shows one hit by hit.
import * as Plot from "@observablehq/plot";
import { whenWidthChanges } from "./charts.mjs";
import { element, figures } from "./element.mjs";
import { blowOf, firstBlow, limitOf, quantityOf, settings } from "./explorer_blow.mjs";
import { choiceControl, group, limitControl, numberControl } from "./explorer_controls.mjs";
import { showHits } from "./explorer_hits.mjs";
import { commonNotes } from "./explorer_notes.mjs";
import { Ranking } from "./explorer_ranking.mjs";
import { colours, dashes, lineSample, plotStyle } from "./look.mjs";
import { GradeResponse } from "./model/grade_response.mjs";
import { familyOf, layeredGrade } from "./model/layers.mjs";
import { addingDoubt, idealPeak_g, striking, worstHit } from "./model/pad_impact.mjs";
import { check, limitable, ranked } from "./model/rank.mjs";

const SHOWN = 5; // force curves drawn at a time
const SLICE_MS = 25; // of work between two rests of the page
const SAID_AFTER_MS = 150; // of a round that is not over

function forcePlot(answers, width) {
    const rows = answers.flatMap((answer, k) => {
        const { depth_m, force_N } = answer.hits[worstHit(answer, "peak_force_N")].run;
        const every = Math.max(1, Math.floor(depth_m.length / 250));
        return depth_m.map((depth, i) => ({ x: depth * 1e3, y: force_N[i] / 1e3, k,
            label: answer.grade.name })).filter((p, i) => i % every === 0 && p.x >= 0);
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

/// Pairs of grades that may lie on each other, each as a list, density rising.
function pairsOf(grades) {
    const families = new Map();
    for (const grade of grades)
        families.set(familyOf(grade), [...(families.get(familyOf(grade)) ?? []), grade]);
    return [...families.values()].flatMap((family) => {
        const rising = [...family].sort((a, b) => a.relative_density - b.relative_density);
        return rising.flatMap((soft, i) => rising.slice(i + 1).map((stiff) => [soft, stiff]));
    });
}

/// Work in slices: between them the page rests, and a newer round ends an older one.
class Round {
    #from = performance.now();
    #since = performance.now();

    constructor(isNewest, say) {
        this.isNewest = isNewest;
        this.say = say;
    }

    /// @returns {boolean} whether to go on
    async goesOn(words) {
        const now = performance.now();
        if (now - this.#since < SLICE_MS) return true;
        if (now - this.#from > SAID_AFTER_MS) this.say(words);
        await new Promise((go) => setTimeout(go));
        this.#since = performance.now();
        return this.isNewest();
    }
}

class Explorer {
    #turn = 0;
    #pads = []; // as ranked
    #before = new Map();
    #struck = new Map(); // by grade, of the blow `#struckBy`
    #struckBy = "";
    #layered = new Map(); // by the label of the pad; they last as long as the page
    #picked = null;

    constructor(place, all) {
        this.place = place;
        this.temperatures = [...new Set(all.map((grade) => grade.temperature_C))];
        this.all = all.map((grade) => this.#named(grade));
        this.state = { ...firstBlow(all), temperature_C: this.temperatures[0] };
        this.ideal = element("p", { class: "headline" });
        this.busy = element("p", { class: "busy", role: "status" });
        this.ranking = new Ranking((grade) => {
            this.#picked = grade.label;
            this.show();
        });
        this.drawing = element("div", { class: "panels" });
        this.key = element("ul", { class: "key" });
        this.hits = element("div", { class: "one-pad" });
        this.notes = element("ul", { class: "notes" });
        place.replaceChildren(this.#form(), this.ideal, this.busy, this.ranking.part, this.drawing,
            this.key, this.hits, this.notes);
        whenWidthChanges(this.drawing, () => this.draw());
        this.answer();
    }

    /// Where there is a choice of temperatures, it tells them.
    #named(grade) {
        const told = this.temperatures.length > 1;
        return { ...grade, name: told ? grade.label.replace(/, [^,]* C$/, "") : grade.label };
    }

    #form() {
        const { state, temperatures } = this;
        const changed = () => {
            controls.forEach((control) => control.follow());
            this.answer();
        };
        const controls = [];
        const numbers = (...keys) => keys.map((key) => {
            const control = numberControl(key, settings[key], state, changed);
            controls.push(control);
            return control.part;
        });
        const layerable = [...new Set(pairsOf(this.all).map(([{ cell }]) => cell))];
        return element("form", { class: "controls", onsubmit: (event) => event.preventDefault() },
            group("The blow", choiceControl("what strikes", "shape",
                [["flat", "a flat body"], ["sphere", "a sphere"]], state, changed),
            ...numbers("mass_kg", "speed_m_per_s", "drop_height_m", "radius_mm", "hits",
                "recovery_share")),
            group("The pad", ...numbers("thickness_mm", "area_mm2"),
                ...(layerable.length ? [choiceControl("pads of two layers too", "layers",
                    [["none", "no"], ...layerable.map((cell) => [cell, `of ${cell}`]),
                        ...(layerable.length > 1 ? [["all", "of every cell"]] : [])],
                    state, changed)] : []),
                ...(temperatures.length > 1 ? [choiceControl("temperature", "temperature_C",
                    temperatures.map((t) => [t, `${figures(t)} \u00b0C`]), state, changed)] : [])),
            group("The limit", ...limitControl(limitable, state, changed)));
    }

    /// Grades and pads of layers that this state asks for; null when the round is over.
    async #candidates(round) {
        const { layers, temperature_C } = this.state;
        const grades = this.all.filter((grade) => grade.temperature_C === temperature_C);
        const pairs = layers === "none" ? [] : pairsOf(grades).filter(([{ cell }]) =>
            layers === "all" || cell === layers);
        const made = [];
        for (const pair of pairs) {
            const name = pair.map((grade) => this.all.indexOf(grade)).join("+");
            if (!this.#layered.has(name)) this.#layered.set(name, this.#named(layeredGrade(pair)));
            made.push(this.#layered.get(name));
            if (!await round.goesOn(`laying ${made.length} of ${pairs.length} pads`)) return null;
        }
        return [...grades, ...made];
    }

    /// First every pad with its stresses as they are, then their doubt.
    async answer() {
        const mine = ++this.#turn, { state } = this, blow = blowOf(state), limit = limitOf(state);
        const round = new Round(() => mine === this.#turn, (words) => {
            this.busy.textContent = `${words} \u2026`;
        });
        this.#before = new Map(this.#pads.map(({ answer }, k) => [answer.grade, k]));
        if (JSON.stringify(blow) !== this.#struckBy) this.#struck = new Map();
        this.#struckBy = JSON.stringify(blow);
        this.place.dataset.state = "busy";
        this.#tell(blow);
        const pads = await this.#candidates(round);
        if (pads === null) return;
        for (const [words, steps] of [
            ["striking", (known, grade) => (known ? [] : striking(grade, blow))],
            ["striking with doubt", (known) => addingDoubt(known, blow)]]) {
            if (!await this.#strike(pads, steps, words, round)) return;
            this.#rank(pads, limit);
        }
        this.busy.textContent = "";
        this.place.dataset.state = "done";
    }

    /// Takes steps on every pad; a pad that cannot be followed keeps its reason.
    /// @returns {boolean} whether the round is still the newest
    async #strike(pads, stepsOf, words, round) {
        let done = 0;
        for (const grade of pads) {
            const known = this.#struck.get(grade);
            try {
                const steps = known?.failure === undefined ? stepsOf(known, grade) : [];
                const iterator = steps[Symbol.iterator]();
                let each = iterator.next();
                for (; !each.done; each = iterator.next())
                    if (!await round.goesOn(`${words}, pad ${done + 1} of ${pads.length}`))
                        return false;
                if (each.value) this.#struck.set(grade, each.value);
                if (known?.failure === undefined)
                    check(this.#struck.get(grade), limitOf(this.state)); // keeps its criteria
            } catch (error) {
                this.#struck.set(grade, { grade, failure: error.message });
            }
            ++done;
            if (!await round.goesOn(`${words}, pad ${done} of ${pads.length}`)) return false;
        }
        return true;
    }

    #tell(blow) {
        this.ideal.textContent = `No pad of ${figures(this.state.thickness_mm)} mm can stay below `
            + `${figures(idealPeak_g(blow))} g at this speed: speed\u00b2 / (2 \u00d7 thickness). `
            + `Energy of the blow ${figures(0.5 * blow.mass_kg * blow.speed_m_per_s ** 2)} J`
            + `${blow.hits > 1 ? ", of each hit" : ""}.`;
    }

    #rank(pads, limit) {
        const answers = pads.map((grade) => this.#struck.get(grade));
        this.#pads = ranked(answers.filter((each) => each.failure === undefined), limit);
        this.notes.replaceChildren(...[...commonNotes(this.state),
            ...answers.filter((each) => each.failure !== undefined)
                .map((each) => `${each.grade.name}: ${each.failure}.`)]
            .map((note) => element("li", {}, note)));
        this.show();
    }

    get #chosen() {
        return this.#pads.find(({ answer }) => answer.grade.label === this.#picked) ?? this.#pads[0];
    }

    show() {
        if (this.#pads.length === 0) return;
        this.ranking.show({ pads: this.#pads, before: this.#before, quantity: quantityOf(this.state),
            limited: this.state.limit !== null, chosen: this.#chosen.answer.grade });
        this.draw();
    }

    draw() {
        const width = this.drawing.clientWidth || 640;
        const shown = this.#pads.map(({ answer }) => answer).filter((answer) => !answer.bottomed)
            .slice(0, SHOWN);
        this.drawing.replaceChildren(...(shown.length ? [element("div", {},
            element("h4", {}, "force over depth, the best that do not bottom",
                this.state.hits > 1 ? ", the hardest hit of each" : ""),
            forcePlot(shown, width))] : []));
        this.key.replaceChildren(...shown.map((answer, k) => element("li", {},
            lineSample(colours[k % colours.length], dashes[k % dashes.length]),
            ` ${answer.grade.name}`)));
        if (this.#chosen) showHits(this.hits, this.#chosen.answer, blowOf(this.state), width);
    }
}

export function mountExplorer(place, table) {
    const all = table.explorer.map((grade) => ({ ...grade, response: new GradeResponse(grade) }));
    if (all.length === 0) {
        place.replaceChildren(element("p", { class: "needs" }, "No grade of this table can be struck: ",
            table.explorer_left_out.join("; ")));
        return;
    }
    new Explorer(place, all);
}
