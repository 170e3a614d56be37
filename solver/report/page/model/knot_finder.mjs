// SPDX-License-Identifier: Apache-2.0
// The piece of a rising row of knots that a number lies in, without a search: even buckets know
// their first piece. solver/choice/knot_finder.hpp.

export class KnotFinder {
    /// knots: two or more, each above the one before
    constructor(knots) {
        const n = 2 * knots.length;
        this.knots = knots;
        this.from = knots[0];
        this.perUnit = n / (knots[knots.length - 1] - this.from);
        this.first = new Int32Array(n + 1);
        for (let bucket = 0, piece = 0; bucket <= n; ++bucket) {
            const start = this.from + bucket / this.perUnit;
            while (piece + 2 < knots.length && knots[piece + 1] <= start) ++piece;
            this.first[bucket] = piece;
        }
    }

    /// i with knots[i] <= x < knots[i + 1]; the first or last piece outside.
    piece(x) {
        const { knots, first } = this;
        const bucket = Math.max((x - this.from) * this.perUnit, 0);
        let i = first[Math.min(Math.floor(bucket), first.length - 1)];
        while (i > 0 && x < knots[i]) --i;
        while (i + 2 < knots.length && x >= knots[i + 1]) ++i;
        return i;
    }
}

/// Straight lines through knots.
export class StraightLines {
    constructor(x, y) {
        this.x = Float64Array.from(x);
        this.y = Float64Array.from(y);
        this.finder = new KnotFinder(this.x);
    }

    at(x) {
        const i = this.finder.piece(x), low = this.x[i];
        const t = (x - low) / (this.x[i + 1] - low);
        return (1 - t) * this.y[i] + t * this.y[i + 1];
    }

    get last() { return this.y[this.y.length - 1]; }
}
