// Base64 of gzip, as the payload holds its files, back to what it was.

/** @import { Packed } from "./messages.js" */

/** @param {string} base64 */
function decoded(base64) {
  const text = atob(base64);
  const bytes = new Uint8Array(text.length);
  for (let at = 0; at < text.length; at++) bytes[at] = text.charCodeAt(at);
  return bytes;
}

/**
 * A file as it goes to a worker quickest: as bytes, which change hands without a copy, where the browser decodes in a moment; else
 * as the text, so that the page does not stand still.
 * @param {string} base64
 * @returns {{packed: Packed, given: Transferable[]}}
 */
export function sendable(base64) {
  if (typeof Uint8Array.fromBase64 !== "function") return { packed: base64, given: [] };
  const packed = Uint8Array.fromBase64(base64);
  return { packed, given: [packed.buffer] };
}

/** Bytes that are unpacked at a time, so that what comes out is taken up before more of it comes. */
const PORTION = 1 << 18;

/** @param {Uint8Array<ArrayBuffer>} packed */
function stream(packed) {
  const { readable, writable } = new DecompressionStream("gzip");
  const writer = writable.getWriter();
  const fill = async () => {
    for (let at = 0; at < packed.length; at += PORTION) await writer.write(packed.subarray(at, at + PORTION));
    await writer.close();
  };
  // Whoever reads the other end hears of it.
  fill().catch(() => {});
  return readable;
}

/**
 * What is in a packed file.
 * @param {Packed} packed
 */
export async function bytesOf(packed) {
  const bytes = typeof packed === "string" ? decoded(packed) : packed;
  // A gzip ends with the length of what is in it, so there is room for all of it at once.
  const whole = new Uint8Array(new DataView(bytes.buffer, bytes.byteOffset).getUint32(bytes.byteLength - 4, true));
  const reader = stream(bytes).getReader();
  for (let at = 0; ; ) {
    const { done, value } = await reader.read();
    if (done) return whole;
    whole.set(value, at);
    at += value.length;
  }
}
