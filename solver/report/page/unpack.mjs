// SPDX-License-Identifier: Apache-2.0
// Data of the page: base64 of gzip inside <script type="application/octet-stream">.

export async function unpackBytes(id) {
    const packed = atob(document.getElementById(id).textContent);
    const bytes = Uint8Array.from(packed, (letter) => letter.charCodeAt(0));
    const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
    return new Response(stream).arrayBuffer();
}

export async function unpackJson(id) {
    return JSON.parse(new TextDecoder().decode(await unpackBytes(id)));
}
