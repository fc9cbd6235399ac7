// The files that Python starts from, in the worker: each can be waited for before it is there.

/**
 * @import { Packed, Payload } from "./messages.js"
 * @typedef {keyof Payload} Name
 */

export class Files {
  /** @type {Map<Name, PromiseWithResolvers<any>>} */
  #places = new Map();

  /** @param {Partial<Payload>} files */
  take(files) {
    for (const [name, file] of Object.entries(files)) this.#place(/** @type {Name} */ (name)).resolve(file);
  }

  /** @param {Name} name @returns {Promise<Packed>} */
  packed(name) {
    return this.#place(name).promise;
  }

  /** What is short and not packed. @template {Name} Short @param {Short} name @returns {Promise<Payload[Short]>} */
  plain(name) {
    return this.#place(name).promise;
  }

  /** @param {Name} name */
  #place(name) {
    let place = this.#places.get(name);
    if (!place) this.#places.set(name, (place = withResolvers()));
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
