// What Python starts from, in the worker: each file can be waited for before it is there.

/** @import { FromUnpacker, Name, Payload } from "./messages.js" */

export class Files {
  /** @type {Map<string, PromiseWithResolvers<any>>} */
  #places = new Map();

  /** @param {MessagePort} unpacker from which the unpacked files come */
  from(unpacker) {
    unpacker.onmessage = ({ data }) => {
      const message = /** @type {FromUnpacker} */ (data);
      const place = this.#place(message.name);
      if (message.bytes) place.resolve(message.bytes);
      else place.reject(new Error(message.trouble));
    };
  }

  /** @param {Partial<Payload>} plain what needs no unpacking */
  take(plain) {
    for (const [name, value] of Object.entries(plain)) this.#place(name).resolve(value);
  }

  /** A file, unpacked. @param {Name} name @returns {Promise<Uint8Array<ArrayBuffer>>} */
  bytes(name) {
    return this.#place(name).promise;
  }

  /** @template {keyof Payload} Plain @param {Plain} name @returns {Promise<Payload[Plain]>} */
  plain(name) {
    return this.#place(name).promise;
  }

  /** @param {string} name */
  #place(name) {
    let place = this.#places.get(name);
    if (!place) {
      this.#places.set(name, (place = withResolvers()));
      // Whoever waits for it hears of it, later.
      place.promise.catch(() => {});
    }
    return place;
  }
}

/** Promise.withResolvers, which browsers of 2023 do not have. @returns {PromiseWithResolvers<any>} */
function withResolvers() {
  /** @type {any} */
  const place = {};
  place.promise = new Promise((resolve, reject) => Object.assign(place, { resolve, reject }));
  return place;
}
