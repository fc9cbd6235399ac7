// Base64 of gzip, as the payload holds its files, back to what it was.

/** @param {string} base64 */
function decoded(base64) {
  // Newer browsers have it built in, several times faster.
  if (typeof Uint8Array.fromBase64 === "function") return Uint8Array.fromBase64(base64);
  const text = atob(base64);
  const bytes = new Uint8Array(text.length);
  for (let at = 0; at < text.length; at++) bytes[at] = text.charCodeAt(at);
  return bytes;
}

/**
 * The unpacked file as a stream.
 * @param {string} packed
 */
export function unpacked(packed) {
  return new Blob([decoded(packed)]).stream().pipeThrough(new DecompressionStream("gzip"));
}

/**
 * The unpacked file at once.
 * @param {string} packed
 */
export async function bytesOf(packed) {
  return new Uint8Array(await new Response(unpacked(packed)).arrayBuffer());
}
