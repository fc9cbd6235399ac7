// Where this page lies, as far as that decides which jobs it finds. Browsers keep jobs by the address of the page: some give all
// pages opened from folders one store, others give each file its own. So a folder that was moved, copied or renamed has all jobs or
// none, and either needs a word.

/**
 * @typedef {"temporary" | "newer" | "moved" | "none"} Matter
 * @typedef {{matter: Matter, text: string}} Note
 * @typedef {{folders: string[], version: string, away: string[]}} Past
 *   folders in which the worksheet was open, the last one first; the newest version among them; notes put away for good
 * @typedef {{folder: string, isFile: boolean, isShared: boolean, version: string}} Here
 *   `isShared`: whether pages of other folders find the same jobs
 */

const PLACE = "spillmark-places";
const MOST_FOLDERS = 12;

/**
 * Folders that a system makes for looking into a zip and clears by itself: those of Windows' Explorer, of two unpackers, and of macOS.
 * From memory, not from a published list.
 */
const TEMPORARY = [/\/AppData\/Local\/Temp\//i, /\.zip(\.[^/]*)?\//i, /\/7z[^/]*\//i, /\/Rar\$[^/]*\//i, /\/var\/folders\//];

/** @param {Location} location @param {string} version @returns {Here} */
export function hereOf({ href, origin, protocol }, version) {
  const isFile = protocol === "file:";
  // A browser that gives each file a store of its own gives it no origin either: tests/pages/test_place.py measures it.
  return { folder: new URL(".", href).href, isFile, isShared: !isFile || origin !== "null", version };
}

/** A folder's address as people know it. @param {string} address */
export function asPath(address) {
  const path = readable(address).replace(/^file:\/\//, "");
  return /^\/[A-Za-z]:\//.test(path) ? path.slice(1).replaceAll("/", "\\") : path;
}

/** @param {string} address */
function readable(address) {
  try {
    return decodeURIComponent(address);
  } catch {
    return address;
  }
}

/** Whether one version comes after another: numbers between points. @param {string} one @param {string} other */
function isNewer(one, other) {
  const [ones, others] = [one, other].map((each) => each.split(".").map(Number));
  for (let at = 0; at < Math.max(ones.length, others.length); at++) {
    const difference = (ones[at] || 0) - (others[at] || 0);
    if (difference) return difference > 0;
  }
  return false;
}

/**
 * What there is to say, the weightiest first.
 * @param {Here} here
 * @param {Past} past
 * @param {"some" | "none" | "unknown"} jobs what the browser keeps for this page
 */
export function notesOf({ folder, isFile, isShared, version }, { folders, version: newest, away }, jobs) {
  const path = asPath(folder);
  /** @type {Note[]} */
  const notes = [];
  if (isFile && TEMPORARY.some((pattern) => pattern.test(readable(folder)))) {
    notes.push({ matter: "temporary", text: `This page lies in a temporary folder: ${path}. The system empties such folders by itself. Unpack the whole zip into a folder of your own. Open the worksheet there. Save the job file before you close this page.` });
  }
  if (isNewer(newest, version)) {
    notes.push({ matter: "newer", text: `Version ${newest} of this worksheet has been at work in this browser. This is version ${version}. Go on with the newer one where you have it.` });
  }
  if (jobs === "some" && folders.length > 0 && !folders.includes(folder)) {
    notes.push({ matter: "moved", text: `You open the worksheet from a new place: ${path}. The last one was ${asPath(folders[0])}. The folder has moved, or this is a second copy. Your jobs are here as well: in this browser both places show the same jobs.` });
  }
  if (jobs === "none" && !isShared) {
    notes.push({ matter: "none", text: `This browser keeps no job for this folder: ${path}. Each folder has its own jobs in this browser, and a folder that moves leaves them behind. Did you work before? Put the folder back where it was, under its old name. Or open the job file here.` });
  }
  return notes.filter(({ matter }) => !away.includes(matter));
}

/** @returns {Past} what earlier visits have left; nothing where it is nothing that this page leaves */
export function readPast() {
  try {
    const { folders, version, away } = JSON.parse(localStorage.getItem(PLACE) ?? "{}");
    /** @param {unknown} list @returns {string[]} */
    const texts = (list) => (Array.isArray(list) ? list.filter((each) => typeof each === "string") : []);
    return { folders: texts(folders), version: typeof version === "string" ? version : "", away: texts(away) };
  } catch {
    return { folders: [], version: "", away: [] };
  }
}

/**
 * Leave word for the next visit, from whatever folder it comes: what is new in this visit is old then.
 * @param {Here} here
 * @param {Past} past
 * @param {Matter} [away] what was put away. A danger comes back with the next visit, and news are news each time.
 */
export function keepPast({ folder, version }, past, away) {
  const now = {
    folders: [folder, ...past.folders.filter((each) => each !== folder)].slice(0, MOST_FOLDERS),
    version: isNewer(past.version, version) ? past.version : version,
    away: away === "none" || away === "newer" ? [...new Set([...past.away, away])] : past.away,
  };
  try {
    localStorage.setItem(PLACE, JSON.stringify(now));
  } catch {
    // No room, or no storage at all: then it is said again.
  }
}
