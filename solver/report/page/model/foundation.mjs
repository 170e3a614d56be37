// SPDX-License-Identifier: Apache-2.0
// A pad as independent columns on a stiff backing: solver/choice/foundation.cpp, one hit on a new
// pad. Rings of a round body share the contact area evenly; their error falls as the square of
// their number, 1e-5 of the force at 200.

export class Foundation {
    constructor(grade, striker, pad, factor = 1, ringsOfRound = 200) {
        this.grade = grade;
        this.striker = striker;
        this.thickness_m = pad.thickness_m;
        this.factor = factor;
        this.flat = striker.shape === "flat";
        this.area_m2 = Math.min(striker.areaAt(pad.thickness_m), pad.area_m2);
        this.rings = this.flat ? 1 : ringsOfRound;
        this.reset();
    }

    reset() {
        const n = this.rings;
        this.touched = new Float64Array(n).fill(-1);
        this.largest = new Float64Array(n);
        this.rate = new Float64Array(n);
        this.place = Array.from({ length: n }, () => this.grade.placeOfRate(0));
        this.depth = this.time = this.deepest = 0;
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
            const outer = flat ? rim : Math.min(reached, rim);
            const height = flat ? 0 : striker.heightAt(0.5 * (inner + outer));
            const strain = (depth_m - height) / thickness_m;
            if (this.touched[k] < 0) {
                const edge = flat ? 0 : striker.heightAt(inner);
                const part = depth_m > this.depth ? (edge - this.depth) / (depth_m - this.depth) : 0;
                this.touched[k] = this.time + Math.min(Math.max(part, 0), 1) * (time_s - this.time);
            }
            if (!goingBack) {
                if (time_s > this.touched[k]) {
                    this.rate[k] = strain / (time_s - this.touched[k]);
                    this.place[k] = grade.placeOfRate(this.rate[k]);
                }
                this.largest[k] = Math.max(this.largest[k], strain);
            }
            let stress = grade.stress_Pa(strain, this.place[k]);
            if (goingBack && strain < this.largest[k])
                stress *= grade.returnShare(strain / this.largest[k], this.place[k]);
            force += stress * (outer - inner);
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
