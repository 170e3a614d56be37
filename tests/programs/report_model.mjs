// SPDX-License-Identifier: Apache-2.0
// usage: node report_model.mjs SOURCE strike DATA.json BLOWS.json
//        node report_model.mjs SOURCE injury PULSES.json
// strike: strikes by the model of the report page; prints the traits of every hit, followed as
// closely as the program does and as the page does. A blow names the densities of its pad's layers.
// injury: prints HIC with windows to 15 and 36 ms and the severity index of half-sine pulses.
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";

const [source, what, ...files] = process.argv.slice(2);
const model = (name) => import(pathToFileURL(join(source, "solver/report/page/model", name)).href);
const { GradeResponse } = await model("grade_response.mjs");
const { program, page } = await model("impact_run.mjs");
const { headInjuryCriterion, severityIndex } = await model("injury.mjs");
const { layeredGrade } = await model("layers.mjs");
const { addDoubt, intervalOf, strike } = await model("pad_impact.mjs");
const read = (file) => JSON.parse(readFileSync(file, "utf8"));

const names = ["peak_acceleration_g", "peak_force_N", "largest_depth_m", "largest_strain", "pulse_s",
    "rebound_speed_m_per_s", "restitution", "impact_energy_J", "absorbed_energy_J",
    "returned_energy_J", "hic15", "hic36", "severity_index"];

function traitsOf(grade, blow, accuracy) {
    const answer = addDoubt(strike(grade, blow, accuracy), blow, accuracy);
    return answer.hits.map((hit) => ({ bottomed: hit.bottomed,
        softer_bottomed: hit.softerBottomed,
        step_s: hit.run.timeStep_s,
        traits: Object.fromEntries(names.map((name) => [name, hit.traits[name]])),
        interval: Object.fromEntries(names.map((name) => [name, intervalOf(hit, name)])) }));
}

function struck([dataFile, blowsFile]) {
    const grades = read(dataFile).tables[0].explorer
        .map((knots) => ({ ...knots, response: new GradeResponse(knots) }));
    return read(blowsFile).map((blow) => {
        const layers = blow.layers.map((density) =>
            grades.find((grade) => grade.relative_density === density));
        const grade = layers.length > 1 ? layeredGrade(layers) : layers[0];
        return { label: grade.label, program: traitsOf(grade, blow, program),
            page: traitsOf(grade, blow, page) };
    });
}

function injury([pulsesFile]) {
    return read(pulsesFile).map(({ peak_g, duration_s, samples }) => {
        const time = Array.from({ length: samples }, (_, i) => duration_s * i / (samples - 1));
        const a = time.map((t) => peak_g * Math.sin(Math.PI * t / duration_s));
        return { hic15: headInjuryCriterion(time, a, 0.015), hic36: headInjuryCriterion(time, a, 0.036),
            severity_index: severityIndex(time, a) };
    });
}

console.log(JSON.stringify(what === "strike" ? struck(files) : injury(files)));
