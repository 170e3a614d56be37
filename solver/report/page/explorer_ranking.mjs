// SPDX-License-Identifier: Apache-2.0
// The table of pads by rank; a pad is picked by the button that its name is.
import { element, figures } from "./element.mjs";
import { worstHit } from "./model/pad_impact.mjs";
import { verdicts } from "./model/rank.mjs";

const FIRST_ROWS = 25;

function markOf({ answer, check }, limited) {
    const kind = check.verdict > 2 ? "bad" : check.verdict === 2 ? "doubt" : "good";
    const words = answer.bottomed ? "bottoms: no result" : limited ? verdicts[check.verdict]
        : answer.densified ? "past densification" : "within the curve";
    const shown = !limited && answer.densified && !answer.bottomed ? "doubt" : kind;
    return element("span", { class: `mark ${shown}` }, element("b", { "aria-hidden": "true" },
        { good: "\u2713", doubt: "?", bad: "\u2717" }[shown]), ` ${words}`);
}

/// A bar to the limit, with its number beside it.
function useOf({ check, answer }) {
    if (check.value === null || answer.bottomed) return "-";
    const share = Math.min(check.use, 1);
    return element("span", { class: "use" },
        element("span", { class: "bar", "aria-hidden": "true" },
            element("i", { style: `width:${(100 * share).toFixed(0)}%` })),
        ` ${(100 * check.use).toFixed(0)} %`);
}

const number = (content) => element("td", { class: "number" }, content);
const range = (low, high, scale = 1) => (low === null ? "-"
    : `${figures(low / scale)} to ${figures(high / scale)}`);

/// columns: [head, cell of a ranked pad] in the order of the table
function columns(quantity, limited) {
    const hit = ({ answer }) => answer.hits[worstHit(answer, "peak_acceleration_g")].traits;
    const ofLimit = limited && quantity.name !== "peak_acceleration_g";
    return [
        ["peak [g]", (pad) => figures(pad.peak.value)],
        ["with doubt [g]", (pad) => range(pad.peak.low, pad.peak.high)],
        ...(ofLimit ? [[`${quantity.words}${quantity.unit ? ` [${quantity.unit}]` : ""}`,
            (pad) => figures(pad.check.value / quantity.scale)],
        ["with doubt", (pad) => range(pad.check.low, pad.check.high, quantity.scale)]] : []),
        ...(limited ? [["of the limit", useOf]] : []),
        ["peak force [kN]", (pad) => figures(hit(pad).peak_force_N / 1e3)],
        ["depth [mm]", (pad) => figures(hit(pad).largest_depth_m * 1e3)],
        ["largest strain", (pad) => figures(hit(pad).largest_strain)],
        ["pulse [ms]", (pad) => figures(hit(pad).pulse_s * 1e3)],
    ];
}

export class Ranking {
    #rows = element("tbody");
    #heads = element("tr");
    #more = element("button", { type: "button", class: "more" });
    #all = false;

    /// picked(grade): the reader wants to see this one
    constructor(picked) {
        this.picked = picked;
        this.table = element("table", {}, element("caption", {}, "Pads by rank"),
        element("thead", {}, this.#heads), this.#rows);
        this.part = element("div", {}, element("div", { class: "wide", tabindex: 0, role: "region",
            "aria-label": "pads by rank" }, this.table), this.#more, element("p", {}, element("small", {},
            "First what keeps the limit, then the lower peak of the hardest hit in steps of 5 %, then "
            + "the lighter pad. Arrows: places moved by the last change.")));
        this.#more.addEventListener("click", () => {
            this.#all = !this.#all;
            this.show(this.last);
        });
    }

    /// view: { pads: ranked, before: Map of a grade to its place in the round before, quantity,
    /// limited, chosen: the grade that is picked }
    show(view) {
        const { pads, quantity, limited } = view;
        const shown = this.#all ? pads : pads.slice(0, FIRST_ROWS);
        const cells = columns(quantity, limited);
        const focused = document.activeElement?.closest?.("tr")?.dataset.grade;
        this.last = view;
        const head = (words, right) => element("th", { scope: "col", class: right ? "number" : "" },
            words);
        this.#heads.replaceChildren(head("place", true),
            element("th", { scope: "col" }, element("span", { class: "unseen" }, "moved")), head("pad"),
            head("answer"), ...cells.map(([words]) => head(words, true)),
            head("mass of pad [g]", true));
        this.#rows.replaceChildren(...shown.map((pad, place) => this.#row(pad, place, view, cells)));
        this.#more.hidden = pads.length <= FIRST_ROWS;
        this.#more.textContent = this.#all ? `show the first ${FIRST_ROWS} alone`
            : `show all ${pads.length} pads`;
        if (focused !== undefined)
            [...this.#rows.rows].find((row) => row.dataset.grade === focused)
                ?.querySelector("button")?.focus({ preventScroll: true });
    }

    #row(pad, place, { before, limited, chosen }, cells) {
        const { grade, bottomed } = pad.answer;
        const moved = before.has(grade) ? before.get(grade) - place : 0;
        const arrow = moved === 0 ? "" : moved > 0 ? `\u25b2${moved}` : `\u25bc${-moved}`;
        const pick = element("button", { type: "button", class: "pick",
            "aria-pressed": String(grade === chosen), title: "show this pad hit by hit",
            onclick: () => this.picked(grade) }, grade.name);
        return element("tr", { class: bottomed ? "no-result" : place === 0 ? "chosen" : "",
            "data-grade": grade.label },
        number(String(place + 1)), element("td", {}, element("small", { class: "moved" }, arrow)),
        element("td", {}, pick), element("td", {}, markOf(pad, limited)),
        ...cells.map(([, cell]) => number(bottomed ? "-" : cell(pad))),
        number(figures(pad.answer.mass_kg * 1e3)));
    }
}
