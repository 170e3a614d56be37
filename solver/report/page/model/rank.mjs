// SPDX-License-Identifier: Apache-2.0
// Whether a limit is kept, how much of it is used, and which pad comes first:
// solver/choice/impact_answer.cpp and rank.cpp with the order that a plan has unless it says another.
import { worstOf } from "./pad_impact.mjs";

const PEAK_STEP = 1.05; // a difference below what such numbers are good for does not outweigh mass

/// What a limit may be of, with the unit it is given in.
export const limitable = [
    { name: "peak_acceleration_g", words: "peak acceleration", unit: "g", scale: 1 },
    { name: "peak_force_N", words: "peak force", unit: "kN", scale: 1e3 },
    { name: "hic15", words: "HIC, windows to 15 ms", unit: "", scale: 1 },
    { name: "hic36", words: "HIC, windows to 36 ms", unit: "", scale: 1 },
    { name: "severity_index", words: "severity index", unit: "", scale: 1 },
];

export const verdicts = ["met", "met, doubt not known", "within doubt", "not met",
    "unknown: bottomed"];

/// limit: { name, value }, value in SI, null: none.
/// @returns {object} worst value of all hits with its doubt, share of the limit used, verdict as
/// its place in `verdicts`
export function check(answer, limit) {
    if (limit.value === null)
        return { value: null, low: null, high: null, use: 0, verdict: answer.bottomed ? 4 : 0 };
    const worst = worstOf(answer, limit.name);
    const verdict = answer.bottomed ? 4 : worst.value > limit.value ? 3 : worst.high === null ? 1
        : answer.softerBottomed || worst.high > limit.value ? 2 : 0;
    return { ...worst, use: Math.max(worst.value, worst.high ?? 0) / limit.value, verdict };
}

const step = (peak_g) => Math.floor(Math.log(peak_g) / Math.log(PEAK_STEP));

/// Best first: the better verdict; of two that fail alike the one that uses less of the limit; then
/// the peak in steps of 5 %, then the lighter pad.
/// @returns {Array} of { answer, check, peak }
export function ranked(answers, limit) {
    const judged = answers.map((answer) => ({ answer, check: check(answer, limit),
        peak: worstOf(answer, "peak_acceleration_g") }));
    return judged.sort((a, b) => a.check.verdict - b.check.verdict
        || (a.check.verdict > 1 ? a.check.use - b.check.use
            : step(a.peak.value) - step(b.peak.value) || a.answer.mass_kg - b.answer.mass_kg)
        || a.peak.value - b.peak.value);
}
