// A short text that all pages of the site share on this computer.
//
// It lies in localStorage. Firefox gives each page of a folder a localStorage of its own there, but one jar of cookies to all;
// Chromium shares localStorage and has no cookies for files. So on file:// the text lies in both. A cookie of a file is sent to
// nobody: there is nobody to send it to. But Firefox forgets the cookies of files when it is closed. So a page that opens brings
// together what it finds and leaves that in both: what it once knew, it knows.

/** What a browser keeps in a cookie at least, its name included; 400 days, the longest that browsers keep one. */
const COOKIE = { letters: 4000, seconds: 400 * 24 * 3600 };

const isFile = location.protocol === "file:";

/** Whether pages know of each other by cookies alone: what another page keeps is known once that page was open. */
export function isPieced() {
  if (!isFile) return false;
  document.cookie = "spillmark.try=1; samesite=strict";
  return document.cookie.includes("spillmark.try=1");
}

/** The texts that lie at a place: one, or two that may differ, or none. @param {string} place @returns {string[]} */
export function sharedTexts(place) {
  const found = [];
  try {
    found.push(localStorage.getItem(place));
  } catch {
    // No storage at all.
  }
  if (isFile) {
    const cookie = document.cookie.split("; ").find((each) => each.startsWith(`${place}=`));
    if (cookie) found.push(decoded(cookie.slice(place.length + 1)));
  }
  return found.filter((each) => each !== null);
}

/** @param {string} coded @returns {string | null} null where it is nothing that a page has coded */
function decoded(coded) {
  try {
    return decodeURIComponent(coded);
  } catch {
    return null;
  }
}

/** @param {string} place @param {string} text */
export function share(place, text) {
  try {
    localStorage.setItem(place, text);
  } catch {
    // No room, or no storage at all: it lasts as long as the page.
  }
  const coded = encodeURIComponent(text);
  if (isFile && place.length + coded.length < COOKIE.letters) {
    document.cookie = `${place}=${coded}; max-age=${COOKIE.seconds}; samesite=strict`;
  }
}
