// SPDX-License-Identifier: Apache-2.0
// Tables that sort by a click on a head; rows that are no results stay at the end.
import { element } from "./element.mjs";

const valueOf = (row, column) => {
    const cell = row.cells[column];
    if (!cell || cell.colSpan > 1) return null;
    return cell.dataset.value !== undefined ? Number(cell.dataset.value) : cell.textContent.trim();
};

function compare(a, b) {
    if (a === null || b === null) return (a === null) - (b === null);
    return typeof a === "number" && typeof b === "number" ? a - b
        : String(a).localeCompare(String(b), "en", { numeric: true });
}

function sort(table, column, falling) {
    const body = table.tBodies[0];
    const rows = [...body.rows];
    rows.sort((a, b) => {
        const last = a.classList.contains("no-result") - b.classList.contains("no-result");
        const [x, y] = [valueOf(a, column), valueOf(b, column)];
        return last || (x === null || y === null ? compare(x, y) : (falling ? -1 : 1) * compare(x, y));
    });
    body.append(...rows);
    [...table.tHead.rows[0].cells].forEach((head, i) =>
        head.setAttribute("aria-sort", i !== column ? "none" : falling ? "descending" : "ascending"));
}

export function makeSortable(table) {
    [...table.tHead.rows[0].cells].forEach((head, column) => {
        const button = element("button", { type: "button", title: head.title || "sort" });
        button.append(...head.childNodes);
        head.append(button);
        button.addEventListener("click", () =>
            sort(table, column, head.getAttribute("aria-sort") === "ascending"));
    });
}
