// SPDX-License-Identifier: Apache-2.0
// Stress of one grade over strain and strain rate, there and back: solver/choice/grade_response.cpp
// in the page. The knots come from the program, so that curves are interpolated once, by it; those
// of layers from layers.mjs, where each curve has strains of its own.
import { StraightLines } from "./knot_finder.mjs";

const STRAIGHT_FROM = 0.9; // of the invented stiffening past the last strain

export class GradeResponse {
    /// knots: as ExplorerGrade of the program, `strain` one row for all curves or one a curve
    constructor(knots) {
        const strains = (k) => (Array.isArray(knots.strain[0]) ? knots.strain[k] : knots.strain);
        this.logRate = Float64Array.from(knots.log_strain_rate);
        this.loading = knots.stress_Pa.map((row, k) => new StraightLines(strains(k), row));
        this.lastSlope = knots.last_slope_Pa;
        this.back = (knots.return_x ?? []).map((x, k) =>
            new StraightLines(x, knots.return_share[k]));
        this.densification = knots.densification_strain;
        this.steepest_Pa = knots.steepest_Pa;
        this.lastStrain = Math.min(...this.loading.map((line) => line.x[line.x.length - 1]));
        this.lastStress = this.loading.map((line) => line.at(this.lastStrain));
        this.doubt = knots.uncertainty_share; // null: not known
    }

    /// Curve below a strain rate, and the share of the way to the next.
    placeOfRate(rate_per_s) {
        const at = Math.log(Math.max(rate_per_s, 1e-300)), rates = this.logRate;
        const last = rates.length - 1;
        if (last === 0 || at <= rates[0]) return { low: 0, share: 0 };
        if (at >= rates[last]) return { low: last - 1, share: 1 };
        let low = 0;
        while (rates[low + 1] <= at) ++low;
        return { low, share: (at - rates[low]) / (rates[low + 1] - rates[low]) };
    }

    stress_Pa(strain, place) {
        if (strain < 0) return 0;
        if (strain > this.lastStrain) return this.beyond(strain, place);
        const { low, share } = place, value = this.loading[low].at(strain);
        return share === 0 ? value
            : (1 - share) * value + share * this.loading[low + 1].at(strain);
    }

    beyond(strain, { low, share }) {
        const w = Math.max(1 - this.lastStrain, 1e-3), y = (strain - this.lastStrain) / w;
        const bent = Math.min(y, STRAIGHT_FROM), left = 1 - bent;
        const rise = bent / left + (y - bent) / (left * left);
        const ofCurve = (k) => this.lastStress[k] + this.lastSlope[k] * w * rise;
        return share === 0 ? ofCurve(low) : (1 - share) * ofCurve(low) + share * ofCurve(low + 1);
    }

    /// Share of the loading stress that the way back keeps; 1 where the table does not unload.
    returnShare(relativeStrain, { low, share }) {
        if (this.back.length === 0) return 1;
        const at = Math.min(Math.max(relativeStrain, 0), 1), value = this.back[low].at(at);
        return share === 0 ? value : (1 - share) * value + share * this.back[low + 1].at(at);
    }

    /// Of the curve nearest to a rate; null where it shows none.
    densificationStrain(rate_per_s) {
        const place = this.placeOfRate(rate_per_s);
        return this.densification[place.share > 0.5 ? place.low + 1 : place.low];
    }
}
