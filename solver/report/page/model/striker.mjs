// SPDX-License-Identifier: Apache-2.0
// Shape of the body that presses into a pad: solver/choice/striker.cpp, flat and sphere.

export function flat() {
    return { shape: "flat", areaAt: (height) => (height < 0 ? 0 : Infinity), heightAt: () => 0 };
}

export function sphere(radius_m) {
    const whole = Math.PI * radius_m * radius_m;
    return {
        shape: "sphere",
        areaAt(height) {
            if (height < 0) return 0;
            const left = Math.max(1 - height / radius_m, 0);
            return whole * (1 - left * left);
        },
        heightAt(area) {
            const share = area / whole;
            return share > 1 ? Infinity : radius_m * share / (1 + Math.sqrt(1 - share));
        },
    };
}
