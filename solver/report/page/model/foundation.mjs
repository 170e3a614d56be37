// SPDX-License-Identifier: Apache-2.0
// A pad as independent columns on a stiff backing: solver/choice/foundation.cpp. Rings of a round
// body share the contact area evenly; their error falls as the square of their number, 4e-5 of the
// force at 100.

export class Foundation {
    constructor(grade, striker, pad, factor = 1, ringsOfRound = 100) {
        this.grade = grade;
        this.striker = striker;
        this.thickness_m = pad.thickness_m;
        this.factor = factor;
        this.flat = striker.shape === "flat";
        this.area_m2 = Math.min(striker.areaAt(pad.thickness_m), pad.area_m2);
        this.rings = this.flat ? 1 : ringsOfRound;
        this.recovery = 0;
        const height = (share) => (this.flat ? 0 : striker.heightAt(this.area_m2 * share));
        this.inside_m = Float64Array.from({ length: this.rings }, (_, k) => height(k / this.rings));
        this.middle_m = Float64Array.from({ length: this.rings }, (_, k) =>
            height((k + 0.5) / this.rings)); // of a ring that is reached as a whole
        this.largest = new Float64Array(this.rings); // strain, in this hit
        this.before = new Float64Array(this.rings); // largest strain of earlier hits
        this.restart();
    }

    /// The body has left; the next hit begins at depth 0 and time 0.
    beginHit(recoveryShare) {
        this.recovery = recoveryShare;
        for (let k = 0; k < this.rings; ++k)
            this.before[k] = Math.max(this.before[k], this.largest[k]);
        this.restart();
    }

    /// This hit anew, on the pad as it was before it.
    restart() {
        const n = this.rings;
        this.touched = new Float64Array(n).fill(-1);
        this.largest.fill(0);
        this.rate = new Float64Array(n);
        this.place = Array.from({ length: n }, () => this.grade.placeOfRate(0));
        this.depth = this.time = this.deepest = 0;
    }

    softened(strain, largest, place) {
        return strain < largest ? this.grade.returnShare(strain / largest, place) : 1;
    }

    /// Stress of column k, without the factor.
    stress_Pa(k, strain, goingBack) {
        const place = this.place[k], before = this.before[k], { recovery } = this;
        const loading = this.grade.stress_Pa(strain, place);
        const asLeft = this.softened(strain, goingBack ? Math.max(this.largest[k], before) : before,
            place);
        if (recovery === 0 || before === 0) return loading * asLeft;
        const asNew = goingBack ? this.softened(strain, this.largest[k], place) : 1;
        return loading * ((1 - recovery) * asLeft + recovery * asNew);
    }

    /// Moves the body and gives the force on it [N].
    moveTo(depth_m, time_s) {
        const { striker, flat, thickness_m, grade } = this;
        const goingBack = depth_m < this.deepest;
        const reached = striker.areaAt(depth_m), ring = this.area_m2 / this.rings;
        let force = 0;
        for (let k = 0; k < this.rings; ++k) {
            const inner = k * ring, rim = this.area_m2 * (k + 1) / this.rings;
            if (depth_m <= 0 || (!flat && reached <= inner)) break;
            const whole = flat || reached >= rim, outer = whole ? rim : reached;
            const height = whole ? this.middle_m[k] : striker.heightAt(0.5 * (inner + outer));
            const strain = (depth_m - height) / thickness_m;
            if (this.touched[k] < 0) {
                const part = depth_m > this.depth
                    ? (this.inside_m[k] - this.depth) / (depth_m - this.depth) : 0;
                this.touched[k] = this.time + Math.min(Math.max(part, 0), 1) * (time_s - this.time);
            }
            if (!goingBack) {
                if (time_s > this.touched[k]) {
                    this.rate[k] = strain / (time_s - this.touched[k]);
                    this.place[k] = grade.placeOfRate(this.rate[k]);
                }
                this.largest[k] = Math.max(this.largest[k], strain);
            }
            force += this.stress_Pa(k, strain, goingBack) * (outer - inner);
        }
        this.depth = depth_m;
        this.time = time_s;
        this.deepest = Math.max(this.deepest, depth_m);
        return this.factor * force;
    }

    get largestStrain() { return this.deepest / this.thickness_m; }
    get steepest_N_per_m() {
        return this.factor * this.grade.steepest_Pa * this.area_m2 / this.thickness_m;
    }
}
