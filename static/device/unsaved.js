// What was begun on a form and not saved yet, kept on this phone so that it comes back after a reload.
const prefix = 'coldbatch.unsaved.';
const keepTime = 3 * 24 * 3600e3; // ms; what was begun longer ago is not gone on with

// readUnsaved returns what was kept under a name, or undefined.
export function readUnsaved(name) {
  try {
    const { at, value } = JSON.parse(localStorage.getItem(prefix + name) || '{}');
    return Date.now() - at < keepTime ? value : undefined;
  } catch {
    return undefined; // storage is off, or holds something else
  }
}

// writeUnsaved keeps a value under a name; undefined drops the value. Where storage is off or full, nothing is kept.
export function writeUnsaved(name, value) {
  try {
    if (value === undefined) localStorage.removeItem(prefix + name);
    else localStorage.setItem(prefix + name, JSON.stringify({ at: Date.now(), value }));
  } catch {
    return;
  }
}
