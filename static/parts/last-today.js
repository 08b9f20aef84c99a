// What Today said last, as text: boot.js shows it at the next start until the core has answered.
import { exampleMode } from '../device/example-mode.js';
import { capitalize } from './html.js';

const storageKey = 'last-today'; // boot.js reads it
const maxLines = 8;

/** lastToday is a view of Today as text: when that was, its heading and its first bags. */
function lastToday({ asOf, headline, groups }) {
  const bags = groups.flatMap((g) => g.bags);
  const lines = bags.slice(0, maxLines).map((b) => `Bag ${b.number}, ${b.what}: ${b.when || capitalize(b.headline)}`);
  if (bags.length > maxLines) lines.push(`and ${bags.length - maxLines} more`);
  return { at: asOf, title: headline, lines };
}

/** saveLastToday stores it on this phone. Where there is no room for it, the next start shows the frame alone. */
export function saveLastToday(view) {
  if (exampleMode) return; // it would pass for the person's own
  try {
    localStorage.setItem(storageKey, JSON.stringify(lastToday(view)));
  } catch (err) {
    console.error('last Today:', err);
  }
}
