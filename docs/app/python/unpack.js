// Base64 of gzip, as the payload holds its files, back to what it was.

/** @import { Payload } from "./messages.js" */

/** @type {Set<string>} the files of the payload that are packed; the others are short texts */
const PACKED = new Set(["wasm", "asm", "snapshot", "stdlib", "calc"]);

/** @param {string} base64 */
function decoded(base64) {
  const text = atob(base64);
  const bytes = new Uint8Array(text.length);
  for (let at = 0; at < text.length; at++) bytes[at] = text.charCodeAt(at);
  return bytes;
}

/**
 * Files as they go to the worker quickest: as bytes, which change hands without a copy, where the browser decodes in a moment;
 * else as texts, so that the page does not stand still.
 * @param {Partial<Payload>} files
 */
export function sendable(files) {
  /** @type {ArrayBuffer[]} */
  const given = [];
  if (typeof Uint8Array.fromBase64 !== "function") return { files, given };
  const decode = Uint8Array.fromBase64;
  const sent = Object.entries(files).map(([name, file]) => {
    if (!PACKED.has(name) || typeof file !== "string") return [name, file];
    const bytes = decode(file);
    given.push(bytes.buffer);
    return [name, bytes];
  });
  return { files: /** @type {Partial<Payload>} */ (Object.fromEntries(sent)), given };
}

/** Bytes that are unpacked at a time, so that what comes out is taken up before more of it comes. */
const PORTION = 1 << 18;

/**
 * The unpacked file as a stream.
 * @param {string | Uint8Array<ArrayBuffer>} packed
 */
export function unpacked(packed) {
  const bytes = typeof packed === "string" ? decoded(packed) : packed;
  const { readable, writable } = new DecompressionStream("gzip");
  const writer = writable.getWriter();
  const fill = async () => {
    for (let at = 0; at < bytes.length; at += PORTION) await writer.write(bytes.subarray(at, at + PORTION));
    await writer.close();
  };
  // Whoever reads the other end hears of it.
  fill().catch(() => {});
  return readable;
}

/**
 * The unpacked file at once.
 * @param {string | Uint8Array<ArrayBuffer>} packed
 */
export async function bytesOf(packed) {
  const bytes = typeof packed === "string" ? decoded(packed) : packed;
  // A gzip ends with the length of what is in it, so there is room for all of it at once.
  const whole = new Uint8Array(new DataView(bytes.buffer, bytes.byteOffset).getUint32(bytes.byteLength - 4, true));
  const reader = unpacked(bytes).getReader();
  for (let at = 0; ; ) {
    const { done, value } = await reader.read();
    if (done) {
      if (at !== whole.length) throw new Error("a file of Python is cut short");
      return whole;
    }
    whole.set(value, at);
    at += value.length;
  }
}
