// SPDX-License-Identifier: Apache-2.0
// A body into a pad and back by velocity Verlet, the step halved until nothing moves any more:
// solver/choice/impact_run.cpp.

const PHASE = 0.1, LEAST_STEP_SHARE = 1 / 16, MOST_HALVINGS = 9, MOST_ROWS = 5e6;

/// How closely a blow is followed. `program` is what `cellgrade impact` does. `page` answers while
/// a slider moves: rings at 4e-5 (100 / 50)^2 = 2e-4 of the force, the step until peak force, depth
/// and rebound move by 2e-3 between two halvings, a third of which is left (order 2).
export const program = { rings: 100, firstSteps: 1000, tolerance: 2e-4, energyLimit: 1e-3 };
export const page = { rings: 50, firstSteps: 250, tolerance: 2e-3, energyLimit: 5e-3 };

function firstStep(foundation, motion, accuracy) {
    const bySpeed = foundation.thickness_m / motion.speed_m_per_s / accuracy.firstSteps;
    const k = foundation.steepest_N_per_m;
    const bySlope = k > 0 ? PHASE * Math.sqrt(motion.mass_kg / k) : bySpeed;
    return Math.min(Math.max(bySlope, LEAST_STEP_SHARE * bySpeed), bySpeed);
}

function follow(foundation, motion, dt) {
    const { mass_kg: m, speed_m_per_s: v0 } = motion;
    const start = 0.5 * m * v0 * v0;
    foundation.restart();
    const run = { time_s: [0], depth_m: [0], force_N: [0], peakForce_N: 0, largestDepth_m: 0,
        rateAtTurn_per_s: 0, workIn_J: 0, workBack_J: 0, energyError: 0, timeStep_s: dt };
    let time = 0, depth = 0, speed = v0, force = foundation.moveTo(0, 0), work = 0, turned = false;
    run.force_N[0] = run.peakForce_N = force;
    for (let row = 0; ; ++row) {
        const nextDepth = depth + dt * (speed - 0.5 * dt * force / m);
        const nextForce = foundation.moveTo(nextDepth, time + dt);
        const done = 0.5 * (force + nextForce) * (nextDepth - depth);
        if (done > 0) run.workIn_J += done;
        else run.workBack_J -= done;
        work += done;
        speed -= 0.5 * dt * (force + nextForce) / m;
        depth = nextDepth;
        force = nextForce;
        time += dt;
        run.energyError = Math.max(run.energyError,
            Math.abs(0.5 * m * speed * speed + work - start) / start);
        run.peakForce_N = Math.max(run.peakForce_N, force);
        if (depth > run.largestDepth_m) {
            run.largestDepth_m = depth;
            run.rateAtTurn_per_s = foundation.rate[0];
        }
        run.time_s.push(time);
        run.depth_m.push(depth);
        run.force_N.push(force);
        turned ||= speed < 0;
        if (turned && (speed >= 0 || !(force > 0))) break;
        if (row > MOST_ROWS) throw new Error("the blow does not end");
    }
    run.largestStrain = foundation.largestStrain;
    run.reboundSpeed_m_per_s = Math.max(-speed, 0);
    return run;
}

function difference(a, b, speed) {
    const share = (x, y) => Math.abs(x - y) / Math.max(Math.abs(y), 1e-300);
    return Math.max(share(a.peakForce_N, b.peakForce_N), share(a.largestStrain, b.largestStrain),
        Math.abs(a.reboundSpeed_m_per_s - b.reboundSpeed_m_per_s) / speed);
}

/// Follows one hit without weight; the foundation is taken as it is before the hit (beginHit()
/// called) and left as it is after it. A run that two steps say goes past `resultToStrain` is no
/// result and not refined further.
/// @returns {object} history, peak force, depth, rebound, energies
export function followImpact(foundation, motion, accuracy = page) {
    let dt = firstStep(foundation, motion, accuracy);
    let coarse = follow(foundation, motion, dt);
    for (let halving = 0; halving < MOST_HALVINGS; ++halving) {
        dt *= 0.5;
        const fine = follow(foundation, motion, dt);
        const moved = difference(coarse, fine, motion.speed_m_per_s);
        const least = Math.min(coarse.largestStrain, fine.largestStrain)
            - Math.abs(coarse.largestStrain - fine.largestStrain);
        coarse = fine;
        if (least > (motion.resultToStrain ?? Infinity)) return coarse;
        if (moved < accuracy.tolerance && fine.energyError < accuracy.energyLimit) return coarse;
    }
    throw new Error("the blow is not followed closely enough even at the smallest step");
}
