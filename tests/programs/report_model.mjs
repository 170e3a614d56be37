// SPDX-License-Identifier: Apache-2.0
// usage: node report_model.mjs SOURCE DATA.json BLOWS.json
// Strikes by the model of the report page; prints how far it is from the answers beside the blows.
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";

const [source, dataFile, blowsFile] = process.argv.slice(2);
const model = (name) => import(pathToFileURL(join(source, "solver/report/page/model", name)).href);
const { GradeResponse } = await model("grade_response.mjs");
const { program, page } = await model("impact_run.mjs");
const { addDoubt, strike } = await model("pad_impact.mjs");

const grades = JSON.parse(readFileSync(dataFile, "utf8")).tables[0].explorer;
const answers = [];
for (const blow of JSON.parse(readFileSync(blowsFile, "utf8"))) {
    const knots = grades.find((grade) => grade.relative_density === blow.relative_density);
    const grade = { ...knots, response: new GradeResponse(knots) };
    const worst = (accuracy) => {
        const answer = addDoubt(strike(grade, blow, accuracy), blow, accuracy);
        const pairs = [[answer.peak_g, blow.want.peak_acceleration_g],
            [answer.peakForce_N, blow.want.peak_force_N], [answer.depth_m, blow.want.largest_depth_m],
            [answer.largestStrain, blow.want.largest_strain]];
        const share = pairs.map(([got, want]) => Math.abs(got / want - 1));
        // of the speed of the touch, as the step is settled
        return [Math.max(...share, Math.abs(answer.restitution - blow.want.restitution)), answer.bottomed];
    };
    const [byProgram, bottomed] = worst(program), [byPage] = worst(page);
    answers.push({ ...blow, bottomed, want_bottomed: blow.bottomed, worst_share_program: byProgram,
        worst_share_page: byPage });
}
console.log(JSON.stringify(answers));
