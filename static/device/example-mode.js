// Which journal this app shows: the person's own or the invented example. The choice
// is in localStorage, since it decides which database is opened.
const storageKey = 'coldbatch.example';

// exampleMode is "" for the person's own journal, "here" for the example because it was
// opened on this phone, "hub" because the hub shows it.
export const exampleMode = readMode();

function readMode() {
  try {
    return localStorage.getItem(storageKey) || '';
  } catch {
    return '';
  }
}

// setExampleMode chooses for the next start of the app, by the same values.
export function setExampleMode(mode) {
  if (mode) localStorage.setItem(storageKey, mode);
  else localStorage.removeItem(storageKey);
}

// If another window of the app switches the journal, this one reloads, because its journal may be
// deleted.
addEventListener('storage', (e) => {
  if (e.key === storageKey) location.assign('/');
});
