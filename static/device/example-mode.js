// Which journal this app shows: the person's own or the invented example. The choice
// is in localStorage, since it decides which database is opened.
const key = 'coldbatch.example';

// exampleMode is "" for the person's own journal, "here" for the example because it was
// opened on this phone, "hub" because the hub shows it.
export const exampleMode = readMode();

function readMode() {
  try {
    return localStorage.getItem(key) || '';
  } catch {
    return '';
  }
}

// setExampleMode chooses for the next start of the app, by the same values.
export function setExampleMode(which) {
  if (which) localStorage.setItem(key, which);
  else localStorage.removeItem(key);
}

// Another window of the app that switches takes this one along: the journal it shows
// may be gone.
addEventListener('storage', (e) => {
  if (e.key === key) location.assign('/');
});
