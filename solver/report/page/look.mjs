// SPDX-License-Identifier: Apache-2.0
// Colours, dashes and marks of drawings; never colour alone.

// Okabe & Ito (2008), Color Universal Design, without the yellow.
export const colours = ["#0072b2", "#d55e00", "#009e73", "#a4507a", "#b87800", "#2f8fc4", "#000000"];
export const dashes = ["", "9 3 2 3", "2 3", "12 4", "5 3", "12 3 2 3 2 3", "1 4"];
export const symbols = ["circle", "square", "triangle", "diamond", "star", "cross", "wye"];

// Four points of the viridis map (public domain), as the still pictures use it.
const ramp = [[68, 1, 84], [59, 82, 139], [33, 145, 140], [94, 190, 90]];
export function densityColour(rank, count) {
    const share = count < 2 ? 1 / 3 : 1 - rank / (count - 1);
    const at = share * (ramp.length - 1), below = Math.min(Math.floor(at), ramp.length - 2);
    const mixed = ramp[below].map((low, i) =>
        Math.round(low + (at - below) * (ramp[below + 1][i] - low)));
    return `rgb(${mixed.join(",")})`;
}

const names = "http://www.w3.org/2000/svg";
/// A short sample of a line for a key.
export function lineSample(colour, dash, symbol) {
    const svg = document.createElementNS(names, "svg");
    svg.setAttribute("width", "34");
    svg.setAttribute("height", "12");
    svg.setAttribute("aria-hidden", "true");
    const line = document.createElementNS(names, "line");
    for (const [name, value] of Object.entries({ x1: 1, y1: 6, x2: 33, y2: 6, stroke: colour,
        "stroke-width": 2, "stroke-dasharray": dash })) line.setAttribute(name, value);
    svg.append(line);
    if (symbol) svg.append(symbol);
    return svg;
}

export const plotStyle = { fontFamily: "inherit", fontSize: "12px", overflow: "visible" };
