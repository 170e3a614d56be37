// SPDX-License-Identifier: Apache-2.0
// usage: node bundle.mjs FOLDER
// Writes drawing.js and scene.js, each one classic script, and notices.txt with the licence text of
// every package that is inside them.
import { build } from "esbuild";
import { mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const here = dirname(fileURLToPath(import.meta.url));
const folder = process.argv[2];
if (!folder) {
    console.error("error: the folder for the bundle is missing");
    process.exit(2);
}
mkdirSync(folder, { recursive: true });

const packages = new Set(), read = new Set();
for (const name of ["drawing", "scene"]) {
    const result = await build({
        entryPoints: [join(here, `${name}.mjs`)], outfile: join(folder, `${name}.js`),
        bundle: true, minify: true, format: "iife", target: "es2020", charset: "utf8",
        legalComments: "none", metafile: true, absWorkingDir: here, logLevel: "warning",
    });
    for (const [path, input] of Object.entries(result.metafile.inputs)) {
        const inside = /node_modules\/((?:@[^/]+\/)?[^/]+)\//.exec(path);
        if (inside) read.add(inside[1]);
        const used = Object.values(result.metafile.outputs)
            .some((output) => (output.inputs[path]?.bytesInOutput ?? 0) > 0);
        if (inside && used && input.bytes > 0) packages.add(inside[1]);
    }
    const text = readFileSync(join(folder, `${name}.js`), "utf8");
    if (/<\/script|<!--/i.test(text))
        throw new Error(`${name}.js would end the page's script element`);
}

const described = (name) =>
    JSON.parse(readFileSync(join(here, "node_modules", name, "package.json"), "utf8"));
// A package that was never read by itself may stand inside one that depends on it.
for (const name of [...packages])
    for (const inner of Object.keys(described(name).dependencies ?? {}))
        if (!read.has(inner)) packages.add(inner);

const notices = [...packages].sort().map((name) => {
    const path = join(here, "node_modules", name);
    const { version, license } = described(name);
    const file = readdirSync(path).find((each) => /^licen[cs]e/i.test(each));
    if (!file) throw new Error(`package ${name} has no licence text`);
    const text = readFileSync(join(path, file), "utf8").trim();
    return `${name} ${version} (${license})\n\n${text}\n`;
});
writeFileSync(join(folder, "notices.txt"), notices.join("\n----\n\n"));
