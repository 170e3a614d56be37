// SPDX-License-Identifier: Apache-2.0
// Shapes of a crush that can be turned and played; struts as cylinders, solids by their surface.
import { AmbientLight, BufferAttribute, BufferGeometry, Color, CylinderGeometry, DirectionalLight,
    DoubleSide, DynamicDrawUsage, InstancedMesh, Matrix4, Mesh, MeshStandardMaterial,
    PerspectiveCamera, Quaternion, Scene, SphereGeometry, Vector3, WebGLRenderer } from "three";
import { OrbitControls } from "three/addons/controls/OrbitControls.js";
import { element, figures } from "./element.mjs";

const UP = new Vector3(0, 1, 0);

/// Places of all points and frames [mm], z up in the file and y up on the screen.
function unpackShapes(meta, buffer) {
    const { n_points: n, n_cells, points_per_cell: width, low_m, size_m } = meta;
    const frames = meta.nominal_strain.length, count = 3 * n * frames;
    const cells = new Uint32Array(buffer, 0, n_cells * width);
    const radii = width === 2 ? new Float32Array(buffer, 4 * cells.length, n_cells) : null;
    const from = 4 * cells.length + (radii ? 4 * n_cells : 0);
    const low = new Uint8Array(buffer, from, count), high = new Uint8Array(buffer, from + count, count);
    const steps = new Uint16Array(count);
    for (let i = 0; i < count; ++i)
        steps[i] = low[i] + 256 * high[i] + (i < 3 * n ? 0 : steps[i - 3 * n]);
    const at = (frame, point, axis) =>
        1e3 * (low_m[axis] + size_m[axis] * steps[3 * (frame * n + point) + axis] / 65535);
    const places = new Float32Array(count);
    for (let frame = 0; frame < frames; ++frame)
        for (let point = 0; point < n; ++point) {
            const to = 3 * (frame * n + point);
            places[to] = at(frame, point, 0);
            places[to + 1] = at(frame, point, 2);
            places[to + 2] = -at(frame, point, 1);
        }
    return { n, frames, cells, radii, places, frameOf: (k) => places.subarray(3 * n * k, 3 * n * (k + 1)) };
}

function beamsOf(shapes) {
    const count = shapes.cells.length / 2;
    const material = new MeshStandardMaterial({ color: 0x4f7ea6, roughness: 0.55 });
    const mesh = new InstancedMesh(new CylinderGeometry(1, 1, 1, 10, 1, true), material, count);
    const joints = new InstancedMesh(new SphereGeometry(1, 10, 8), material, count);
    for (const each of [mesh, joints]) each.instanceMatrix.setUsage(DynamicDrawUsage);
    const a = new Vector3(), b = new Vector3(), size = new Vector3(), matrix = new Matrix4();
    const turn = new Quaternion(), none = new Quaternion();
    return {
        objects: [mesh, joints],
        show(k) {
            const x = shapes.frameOf(k);
            for (let i = 0; i < count; ++i) {
                a.fromArray(x, 3 * shapes.cells[2 * i]);
                b.fromArray(x, 3 * shapes.cells[2 * i + 1]);
                const radius = 1e3 * shapes.radii[i];
                joints.setMatrixAt(i, matrix.compose(a, none, size.set(radius, radius, radius)));
                b.sub(a);
                const length = Math.max(b.length(), 1e-6);
                turn.setFromUnitVectors(UP, b.divideScalar(length));
                a.addScaledVector(b, 0.5 * length);
                mesh.setMatrixAt(i, matrix.compose(a, turn, size.set(radius, length, radius)));
            }
            mesh.instanceMatrix.needsUpdate = joints.instanceMatrix.needsUpdate = true;
        },
    };
}

function surfaceOf(shapes) {
    const geometry = new BufferGeometry();
    const places = new BufferAttribute(new Float32Array(3 * shapes.n), 3).setUsage(DynamicDrawUsage);
    geometry.setAttribute("position", places);
    geometry.setIndex(new BufferAttribute(shapes.cells, 1));
    const material = new MeshStandardMaterial({ color: 0x4f7ea6, roughness: 0.6, flatShading: true,
        side: DoubleSide });
    const mesh = new Mesh(geometry, material);
    mesh.frustumCulled = false;
    return {
        objects: [mesh],
        show(k) {
            places.array.set(shapes.frameOf(k));
            places.needsUpdate = true;
        },
    };
}

function extentOf(shapes) {
    const low = new Vector3(Infinity, Infinity, Infinity), high = low.clone().negate();
    const x = shapes.places, point = new Vector3();
    for (let i = 0; i < x.length; i += 3) {
        point.fromArray(x, i);
        low.min(point);
        high.max(point);
    }
    return { centre: low.clone().add(high).multiplyScalar(0.5), size: high.distanceTo(low) };
}

/// Puts a view in the place of the figure's picture; without WebGL the picture stays.
globalThis.cellgradeScene = (figure, meta, buffer, mark) => {
    const picture = figure.querySelector("img");
    let renderer;
    try {
        renderer = new WebGLRenderer({ antialias: true, preserveDrawingBuffer: true });
    } catch {
        figure.append(element("p", { class: "needs" },
            "This browser draws no WebGL: the still picture stands for the turning one."));
        return;
    }
    const shapes = unpackShapes(meta, buffer);
    const parts = shapes.radii ? beamsOf(shapes) : surfaceOf(shapes);
    const scene = new Scene();
    scene.background = new Color(0xf4f6f8);
    for (const object of parts.objects) {
        object.frustumCulled = false;
        scene.add(object);
    }
    scene.add(new AmbientLight(0xffffff, 1.1));
    const { centre, size } = extentOf(shapes);
    for (const [x, y, z, power] of [[1, 2, 1.5, 2.2], [-2, 0.5, -1, 0.7]]) {
        const light = new DirectionalLight(0xffffff, power);
        light.position.set(x, y, z);
        scene.add(light);
    }
    const camera = new PerspectiveCamera(32, 1, size / 100, size * 20);
    camera.position.copy(centre).add(new Vector3(1.0, 0.55, 1.35).multiplyScalar(1.05 * size));
    const canvas = renderer.domElement;
    canvas.tabIndex = 0;
    canvas.setAttribute("role", "img");
    canvas.setAttribute("aria-label", "shape, turned by dragging or by the arrow keys");
    const controls = new OrbitControls(camera, canvas);
    controls.target.copy(centre);
    controls.update();
    const render = () => renderer.render(scene, camera);
    controls.addEventListener("change", render);

    const strains = meta.nominal_strain;
    const mostCrushed = strains.indexOf(Math.max(...strains));
    const words = element("output", {});
    const slider = element("input", { type: "range", min: 0, max: shapes.frames - 1, step: 1, value: 0,
        "aria-label": "saved shape" });
    const show = (k) => {
        parts.show(k);
        words.textContent = `strain ${figures(strains[k])}${k > mostCrushed ? ", on the way back" : ""}`;
        slider.setAttribute("aria-valuetext", words.textContent);
        mark(strains[k], k > mostCrushed);
        render();
    };
    let timer = null;
    const play = element("button", { type: "button", onclick: () => {
        if (timer !== null) return stop();
        if (Number(slider.value) >= shapes.frames - 1) slider.value = 0;
        timer = setInterval(() => {
            slider.value = Number(slider.value) + 1;
            show(Number(slider.value));
            if (Number(slider.value) >= shapes.frames - 1) stop();
        }, 120);
        play.textContent = "Stop";
        return undefined;
    } }, "Play");
    const stop = () => {
        clearInterval(timer);
        timer = null;
        play.textContent = "Play";
    };
    slider.addEventListener("input", () => show(Number(slider.value)));
    const view = element("div", { class: "view" });
    view.append(canvas);
    canvas.addEventListener("keydown", (event) => {
        const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
        if (!step) return;
        event.preventDefault();
        const arm = camera.position.clone().sub(centre);
        arm.applyAxisAngle(UP, 0.12 * step[0]);
        const side = new Vector3().crossVectors(UP, arm).normalize();
        const tilted = arm.clone().applyAxisAngle(side, 0.12 * step[1]);
        if (Math.abs(tilted.angleTo(UP) - Math.PI / 2) < 1.4) arm.copy(tilted);
        camera.position.copy(centre).add(arm);
        controls.update();
        render();
    });
    picture.hidden = true;
    picture.before(view, element("div", { class: "player" }, play, slider, words));
    picture.classList.add("only-print");
    new ResizeObserver(() => {
        const width = view.clientWidth, height = Math.round(Math.min(0.8 * width, 460));
        if (width === 0) return;
        renderer.setPixelRatio(Math.min(devicePixelRatio, 2));
        renderer.setSize(width, height);
        camera.aspect = width / height;
        camera.updateProjectionMatrix();
        render();
    }).observe(view);
    show(0);
};
