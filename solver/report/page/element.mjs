// SPDX-License-Identifier: Apache-2.0

/// element("label", { class: "x" }, "text", otherElement): an element with attributes and children.
export function element(tag, attributes = {}, ...children) {
    const made = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes)) {
        if (value === false || value === null || value === undefined) continue;
        if (name.startsWith("on")) made.addEventListener(name.slice(2), value);
        else made.setAttribute(name, value === true ? "" : value);
    }
    made.append(...children);
    return made;
}

/// A number for people: so many significant figures, "-" where it is not known.
export function figures(value, digits = 3) {
    if (value === null || value === undefined || !Number.isFinite(value)) return "-";
    if (value === 0) return "0";
    const size = Math.floor(Math.log10(Math.abs(value)));
    return size < -3 || size > 5 ? value.toExponential(digits - 1)
        : String(Number(value.toPrecision(digits)));
}
