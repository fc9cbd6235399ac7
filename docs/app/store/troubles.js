// Why the browser does not keep a job, in words that say what to do. The page works on in any case.

/** @typedef {{text: string, detail: string}} Trouble `detail`: what the machine said, for who can use it */

const HERE_ONLY = "What you type is in this page only. Save the job file before you leave.";

/** @type {Record<string, string>} by the browser's name of the error */
const WORDS = {
  QuotaExceededError: `There is no room left to keep jobs on this computer. ${HERE_ONLY} Then delete jobs or free some space on the disk.`,
  VersionError: `A newer version of this worksheet has kept jobs in this browser. This version cannot read them. ${HERE_ONLY} Then open the newer version.`,
};

export const BLOCKED = {
  text: `Other tabs hold an older version of the kept jobs. Close the other tabs of the worksheet. ${HERE_ONLY}`,
  detail: "",
};

/** @param {unknown} trouble @returns {Trouble} */
export function troubleOf(trouble) {
  const { name, message } = trouble instanceof Error || trouble instanceof DOMException ? trouble : { name: "", message: String(trouble) };
  const text = WORDS[name] ?? `This browser does not keep jobs: its storage is switched off, or this is a private window. ${HERE_ONLY}`;
  return { text, detail: [name, message].filter(Boolean).join(": ") };
}
