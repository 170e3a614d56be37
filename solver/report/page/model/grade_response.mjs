// SPDX-License-Identifier: Apache-2.0
// Stress of one grade over strain and strain rate, there and back: solver/choice/grade_response.cpp
// in the page. The knots come from the program, so that curves are interpolated once, by it.

const STRAIGHT_FROM = 0.9; // of the invented stiffening past the last strain

/// First of the two knots between which `at` lies.
function segment(knots, at) {
    let low = 0, high = knots.length - 1;
    while (high - low > 1) {
        const middle = (low + high) >> 1;
        if (knots[middle] <= at) low = middle;
        else high = middle;
    }
    return low;
}

function between(knots, values, at) {
    const i = segment(knots, at);
    const t = (at - knots[i]) / (knots[i + 1] - knots[i]);
    return (1 - t) * values[i] + t * values[i + 1];
}

export class GradeResponse {
    constructor(knots) {
        this.logRate = Float64Array.from(knots.log_strain_rate);
        this.strain = Float64Array.from(knots.strain);
        this.stress = knots.stress_Pa.map((row) => Float64Array.from(row));
        this.lastSlope = knots.last_slope_Pa;
        this.back = (knots.return_x ?? []).map((x, k) => ({
            x: Float64Array.from(x), share: Float64Array.from(knots.return_share[k]),
        }));
        this.densification = knots.densification_strain;
        this.steepest_Pa = knots.steepest_Pa;
        this.lastStrain = this.strain[this.strain.length - 1];
        this.doubt = knots.uncertainty_share; // null: not known
    }

    /// Curve below a strain rate, and the share of the way to the next.
    placeOfRate(rate_per_s) {
        const at = Math.log(Math.max(rate_per_s, 1e-300)), rates = this.logRate;
        const last = rates.length - 1;
        if (last === 0 || at <= rates[0]) return { low: 0, share: 0 };
        if (at >= rates[last]) return { low: last - 1, share: 1 };
        const low = segment(rates, at);
        return { low, share: (at - rates[low]) / (rates[low + 1] - rates[low]) };
    }

    overRates(place, ofCurve) {
        const low = ofCurve(place.low);
        return place.share > 0 ? (1 - place.share) * low + place.share * ofCurve(place.low + 1)
            : low;
    }

    stress_Pa(strain, place) {
        if (strain < 0) return 0;
        if (strain > this.lastStrain) return this.beyond(strain, place);
        const i = segment(this.strain, strain);
        const t = (strain - this.strain[i]) / (this.strain[i + 1] - this.strain[i]);
        const low = this.stress[place.low];
        const value = (1 - t) * low[i] + t * low[i + 1];
        if (place.share === 0) return value;
        const high = this.stress[place.low + 1];
        return (1 - place.share) * value + place.share * ((1 - t) * high[i] + t * high[i + 1]);
    }

    beyond(strain, place) {
        const w = Math.max(1 - this.lastStrain, 1e-3), y = (strain - this.lastStrain) / w;
        const bent = Math.min(y, STRAIGHT_FROM), left = 1 - bent;
        const rise = bent / left + (y - bent) / (left * left);
        return this.overRates(place, (k) =>
            this.stress[k][this.stress[k].length - 1] + this.lastSlope[k] * w * rise);
    }

    /// Share of the loading stress that the way back keeps; 1 where the table does not unload.
    returnShare(relativeStrain, place) {
        if (this.back.length === 0) return 1;
        const at = Math.min(Math.max(relativeStrain, 0), 1);
        return this.overRates(place, (k) => between(this.back[k].x, this.back[k].share, at));
    }

    densificationStrain(rate_per_s) {
        const place = this.placeOfRate(rate_per_s);
        return this.densification[place.share > 0.5 ? place.low + 1 : place.low];
    }
}
