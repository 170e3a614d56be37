// SPDX-License-Identifier: Apache-2.0
// Head injury criterion and severity index of a pulse of straight lines: solver/choice/injury.cpp,
// whose header derives the search. Sources: Versace (1971), Stapp Car Crash Conf. 15, 771; 49 CFR
// 571.208 S6.2 for 15 and 36 ms; Gadd (1966), Stapp Car Crash Conf. 10, 164.

const BOUND_SHARE = 1e-9; // nothing above this over the best found is missed
const WINDOW_SLACK = 1e-12; // a window of the cap's length to rounding is allowed
// Where there are more samples, windows begin and end at every second, third, ... of them. The
// integral keeps all. As the maximum is flat this loses the square of (distance / window), 1e-5.
const MOST_PLACES = 600;

export const hic15Window_s = 0.015, hic36Window_s = 0.036;

/// Places where windows may begin or end, with the integral of the acceleration up to them.
function placesOf(t, a, window) {
    const last = t.length - 1, every = Math.max(1, Math.floor(last / MOST_PLACES));
    const times = [];
    for (let i = 0; i <= last; i = i < last ? Math.min(i + every, last) : last + 1)
        for (const shift of [-window, 0, window])
            if (t[i] + shift >= t[0] && t[i] + shift <= t[last]) times.push(t[i] + shift);
    const time = Float64Array.from(times).sort().filter((v, i, all) => i === 0 || v > all[i - 1]);
    const integral = new Float64Array(time.length);
    let i = 0, before = 0; // integral up to sample i
    time.forEach((at, k) => {
        for (; i < last && t[i + 1] <= at; ++i)
            before += 0.5 * (a[i] + a[i + 1]) * (t[i + 1] - t[i]);
        const part = at - t[i];
        const slope = i < last ? (a[i + 1] - a[i]) / (t[i + 1] - t[i]) : 0;
        integral[k] = before + part * (a[i] + (part > 0 ? 0.5 * slope * part : 0));
    });
    return { time, integral };
}

/// The best window for one level: the largest integral of (a - level) over it.
function bestWindow({ time, integral }, level, window) {
    const lowest = new Int32Array(time.length); // a queue of candidates, their heights rise
    let head = 0, tail = 0, from = 0, to = 0, best = 0;
    const height = (k) => integral[k] - level * time[k];
    for (let k = 0; k < time.length; ++k) {
        while (head < tail && time[k] - time[lowest[head]] > window * (1 + WINDOW_SLACK)) ++head;
        const here = height(k);
        if (head < tail && here - height(lowest[head]) > best) {
            best = here - height(lowest[head]);
            from = lowest[head];
            to = k;
        }
        while (head < tail && height(lowest[tail - 1]) >= here) --tail;
        lowest[tail++] = k;
    }
    return { from, to, gain: best };
}

/// Largest 2.5 u^1.5 (p - q u) on an interval of mean accelerations u, p - q u the chord of gains.
function bound([low, high]) {
    const q = (low.gain - high.gain) / (high.u - low.u), p = low.gain + q * low.u;
    const top = q > 0 ? 0.6 * p / q : high.u, u = Math.min(Math.max(top, low.u), high.u);
    return 2.5 * u ** 1.5 * (p - q * u);
}

/// @returns {object} { value [s], from_s, to_s }
export function headInjuryCriterion(time_s, acceleration_g, longestWindow_s) {
    const none = { value: 0, from_s: 0, to_s: 0 };
    const largest = acceleration_g.reduce((a, b) => Math.max(a, b), 0);
    if (time_s.length < 2 || !(largest > 0)) return none;
    const at = placesOf(time_s, acceleration_g, longestWindow_s);
    let best = none;
    const end = (u) => {
        const { from, to, gain } = bestWindow(at, 0.6 * u, longestWindow_s);
        const dt = at.time[to] - at.time[from], dv = at.integral[to] - at.integral[from];
        const value = dt > 0 && dv > 0 ? dv * (dv / dt) ** 1.5 : 0;
        if (value > best.value) best = { value, from_s: at.time[from], to_s: at.time[to] };
        return { u, gain };
    };
    const open = [[end(0), end(largest)]];
    while (open.length > 0) {
        const each = open.pop(), [low, high] = each;
        if (bound(each) <= best.value * (1 + BOUND_SHARE)) continue;
        const middle = 0.5 * (low.u + high.u);
        if (middle <= low.u || middle >= high.u) continue;
        const halfway = end(middle);
        open.push([low, halfway], [halfway, high]);
    }
    return best;
}

/// Integral of a^2.5 over the pulse [s], exact for straight lines; below 0 counts as 0.
export function severityIndex(time_s, acceleration_g) {
    let sum = 0;
    for (let i = 1; i < time_s.length; ++i) {
        const dt = time_s[i] - time_s[i - 1];
        let low = Math.min(acceleration_g[i - 1], acceleration_g[i]);
        const high = Math.max(acceleration_g[i - 1], acceleration_g[i]);
        if (dt <= 0 || high <= 0) continue;
        const share = low < 0 ? high / (high - low) : 1; // of the step above 0
        low = Math.max(low, 0);
        // Close together the quotient loses its digits; the middle is then right to 1e-7.
        const mean = high - low < 1e-3 * high ? (0.5 * (low + high)) ** 2.5
            : (high ** 3.5 - low ** 3.5) / (3.5 * (high - low));
        sum += share * dt * mean;
    }
    return sum;
}
