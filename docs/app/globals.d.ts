// What tsc has to be told about the bundle's surroundings.

/** A file that esbuild turns into a string. */
declare module "*.txt" {
  const text: string;
  export default text;
}

/** The moving model's table, for a check before the first build. */
declare module "*/generated/model.json" {
  const table: any;
  export default table;
}

/** The name of the program, for a check before the first build. */
declare module "*/generated/app/python.json" {
  export const program: string;
}

/** The program's version; the build puts it in. */
declare const SPILLMARK_VERSION: string;

/** The oldest browsers that calculate, in words; see site_demo/oldest.py. */
declare const SPILLMARK_OLDEST: string;

/** Set by python-start.js. */
declare var spillmarkStart: import("./python/messages.js").Starter | undefined;

/** Set by the payload's scripts. */
declare var spillmarkPython: import("./python/messages.js").Payload | undefined;

interface Uint8ArrayConstructor {
  /** Built into newer browsers; looked for before it is used. */
  fromBase64?(text: string): Uint8Array<ArrayBuffer>;
}
