// How far the copy is, in words.

/** @import { Copy, Hindrance } from "./copy.js" */
/** @import { Named, State, Trouble } from "./messages.js" */

const GOES_ON = "The site works on as long as the network is there.";

/** @type {Record<Hindrance, string>} */
const HINDRANCES = {
  off: "This browser keeps no copy, because you had it forgotten.",
  insecure: "This address begins with http and is not this computer, so browsers keep no copy of it. "
    + `Use an address that begins with https, or open the site from a folder. ${GOES_ON}`,
  unsupported: `This browser keeps no copies: this is a private window, or it is set so. Use an ordinary window. ${GOES_ON}`,
  refused: `This browser refuses to keep a copy. Allow this site to store data, then load the page again. ${GOES_ON}`,
  unreachable: "The server did not hand out what keeps the copy. Load the page again when the network is there. "
    + "Is the file service-worker.js missing on the server? Copy the whole site there again.",
  retired: `This server wants no copies of its site in browsers. ${GOES_ON}`,
};

/** @type {Record<Trouble, (state: State) => string>} */
const TROUBLES = {
  unreachable: (state) => `The server cannot be reached now. ${share(state)} The rest follows when it can.`,
  unlike: ({ detail }) => `The server's files do not belong together: ${detail} is not as it should be. Perhaps someone is just copying a new `
    + "version there. Spillmark looks again by itself. If it stays so, copy the whole site to the server again.",
  full: ({ detail, total, kept }) => `There is no room for the whole copy: ${mega(total - kept)} MB are still to come (${detail}). `
    + `Free some space on the disk, then try again. ${GOES_ON}`,
  refused: ({ detail }) => `This browser does not keep the files (${detail}). Allow this site to store data, then try again. ${GOES_ON}`,
};

/** @param {number} bytes */
export const mega = (bytes) => Math.round(bytes / 1e6);

/** @param {State} state */
export const share = ({ kept, total }) => `Kept for use without a network: ${mega(kept)} of ${mega(total)} MB.`;

/** The version by its number, and by its build where the number is the same. @param {Named} build @param {Named | null} [other] */
export const versionOf = (build, other) => (other?.version === build.version ? `${build.version}, build ${build.name}` : build.version);

/** What is worth telling at once; empty while all goes well. @param {Copy} copy @returns {string} */
export function verdict({ state, hindrance }) {
  if (hindrance) return HINDRANCES[hindrance];
  if (!state) return "";
  const works = state.current ? `This site works without a network now: version ${state.current.version}, build ${state.current.name}.` : "";
  const trouble = state.phase === "stopped" && state.trouble ? TROUBLES[state.trouble](state) : "";
  return [works, trouble].filter(Boolean).join(" ");
}

/** The newer version that is there, if one is: which, and whether another tab has loaded it. @param {Copy} copy */
export function newer({ state, mine }) {
  if (!state?.current) return undefined;
  const { current, next, phase } = state;
  if (phase === "whole" && current.name !== next.name) {
    return { build: next, text: `A new version of this site is ready: ${versionOf(next, current)}.` };
  }
  if (mine && mine !== "server" && mine !== current.name) {
    return { build: current, text: `Another tab has loaded another version of this site: ${current.version}, build ${current.name}.` };
  }
  return undefined;
}
