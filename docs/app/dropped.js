// Files as they come from a chooser or a drop, folders among them: each with the name to call it by.

/** @typedef {{name: string, file: File, fromFolder: boolean}} Brought */

/** A folder can hold anything; what is meant is its JSON files. @param {string} name */
function isWanted(name) {
  return name.toLowerCase().endsWith(".json");
}

/** @param {FileList | null} files @returns {Brought[]} */
export function chosen(files) {
  return [...(files ?? [])]
    .map((file) => ({ name: file.webkitRelativePath || file.name, file, fromFolder: file.webkitRelativePath !== "" }))
    .filter(({ name, fromFolder }) => !fromFolder || isWanted(name));
}

/**
 * Everything that was dropped. The list of a drop is empty as soon as its event is over, so it is read before any waiting.
 * @param {DataTransfer} drop
 * @returns {Promise<Brought[]>}
 */
export async function dropped(drop) {
  const entries = [...drop.items].map((item) => item.webkitGetAsEntry?.());
  const files = [...drop.files];
  if (!entries.some((entry) => entry?.isDirectory)) return files.map((file) => ({ name: file.name, file, fromFolder: false }));
  const found = await Promise.all(entries.filter((entry) => entry !== null && entry !== undefined).map((entry) => inside(entry)));
  return found.flat();
}

/** @param {FileSystemEntry} entry @param {string} [folder] @returns {Promise<Brought[]>} */
async function inside(entry, folder = "") {
  const name = `${folder}${entry.name}`;
  if (!entry.isDirectory) {
    if (folder && !isWanted(name)) return [];
    const file = await new Promise((give, fail) => /** @type {FileSystemFileEntry} */ (entry).file(give, fail));
    return [{ name, file, fromFolder: folder !== "" }];
  }
  const reader = /** @type {FileSystemDirectoryEntry} */ (entry).createReader();
  /** @type {Brought[]} */
  const found = [];
  // It hands out a hundred at a time, and nothing at the end.
  for (;;) {
    const some = await new Promise((give, fail) => reader.readEntries(give, fail));
    if (some.length === 0) return found;
    for (const each of some) found.push(...await inside(each, `${name}/`));
  }
}
