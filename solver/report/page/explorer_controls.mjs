// SPDX-License-Identifier: Apache-2.0
// Controls of the explorer: a number with its slider, a choice out of a list, a limit.
import { element } from "./element.mjs";

const shortest = (value) => String(Number(value.toPrecision(3)));

/// A number and a slider, over its logarithm or in even steps, each following the other.
/// @returns {object} { part: the element, follow(): shows the state again }
export function numberControl(key, setting, state, changed) {
    const { name, unit, low, high, step } = setting;
    const get = setting.get ?? (() => state[key]);
    const put = setting.put ?? ((_, value) => { state[key] = value; });
    const onto = step ? Number : Math.log, from = step ? Number : Math.exp;
    const number = element("input", { type: "number", min: shortest(low), max: shortest(high),
        step: step && !setting.anyNumber ? step : "any", "data-key": key, inputmode: "decimal",
        "aria-label": unit ? `${name} in ${unit}` : name });
    const slider = element("input", { type: "range", min: onto(low), max: onto(high),
        step: step ?? 0.005, "aria-label": `${name}, slider` });
    const part = element("div", { class: "control", "data-for": key },
        element("span", {}, name), number, element("span", { class: "unit" }, unit), slider);
    const showSlider = () => {
        slider.value = onto(get(state));
        slider.setAttribute("aria-valuetext", `${shortest(get(state))} ${unit}`.trim());
    };
    const follow = () => {
        part.hidden = setting.shown ? !setting.shown(state) : false;
        if (number !== document.activeElement) {
            number.value = shortest(get(state));
            number.removeAttribute("aria-invalid");
        }
        if (slider !== document.activeElement) showSlider();
    };
    const slack = 5e-3; // ends are shown to three figures
    const take = (value) => {
        const whole = step && !setting.anyNumber ? Number.isInteger(value) : true;
        if (!(whole && value >= low * (1 - slack) && value <= high * (1 + slack))) {
            number.setAttribute("aria-invalid", "true");
            return;
        }
        number.removeAttribute("aria-invalid");
        put(state, Math.min(Math.max(value, low), high));
        showSlider();
        changed();
    };
    number.addEventListener("input", () => take(number.value === "" ? NaN : Number(number.value)));
    number.addEventListener("blur", () => setTimeout(follow)); // what was out of range goes back
    slider.addEventListener("input", () => {
        const value = from(Number(slider.value));
        number.value = step ? shortest(value) : Number(value.toPrecision(2));
        take(Number(number.value));
    });
    follow();
    return { part, follow };
}

/// A choice; options: [value, words].
export function choiceControl(name, key, options, state, changed) {
    const list = element("select", { "data-key": key, onchange: () => {
        state[key] = options[list.selectedIndex][0];
        changed();
    } }, ...options.map(([value, words]) => element("option", { value,
        selected: value === state[key] }, words)));
    return element("label", { class: "control" }, element("span", {}, name), list);
}

/// What a limit is of, and the limit itself, empty for none.
export function limitControl(quantities, state, changed) {
    const unit = element("span", { class: "unit" });
    const value = element("input", { type: "number", min: 0, step: "any", placeholder: "none",
        "data-key": "limit", inputmode: "decimal" });
    const name = () => {
        const { words, unit: inUnit } = quantities.find((each) => each.name === state.limit_of);
        unit.textContent = inUnit;
        value.setAttribute("aria-label", `limit on the ${words}${inUnit ? ` in ${inUnit}` : ""}`);
    };
    const take = () => {
        const given = value.value === "" && value.validity.valid ? null : Number(value.value);
        const wrong = given !== null && !(given > 0);
        if (wrong) value.setAttribute("aria-invalid", "true");
        else value.removeAttribute("aria-invalid");
        if (wrong) return;
        state.limit = given;
        changed();
    };
    value.addEventListener("input", take);
    const of = choiceControl("limit on", "limit_of",
        quantities.map((each) => [each.name, each.words]), state, () => {
            state.limit = null; // a number of one quantity says nothing of another
            value.value = "";
            value.removeAttribute("aria-invalid");
            name();
            changed();
        });
    name();
    return [of, element("label", { class: "control" }, element("span", {}, "at most"), value, unit)];
}

export const group = (name, ...parts) => element("fieldset", {}, element("legend", {}, name),
    ...parts);
