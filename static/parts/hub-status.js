// When the hub was last reached and how many entries wait for it: small, always there.
import { html, classes } from './html.js';
import { hub } from '../sync/hub-state.js';
import { unsent } from '../sync/photos.js';
import { inExample } from '../device/example-mode.js';
import { lately } from './time-text.js';

/** many counts things in words; none of them is nothing. */
export const many = (n, one, more) => (n === 0 ? '' : n === 1 ? `1 ${one}` : `${n} ${more}`);

/** hubWords says how the phone and the hub stand, in a few words. */
export function hubWords({ ok, reached, waiting, role, was }) {
  if (inExample) return 'never sent';
  const wait = [many(waiting, 'entry waits', 'entries wait'), many(unsent.value, 'photo waits', 'photos wait')]
    .filter(Boolean)
    .join(' · ');
  const and = (words) => [words, wait].filter(Boolean).join(' · ');
  if (!reached) return and('no hub yet');
  if (role === 'out') return and('let in no more');
  if (role === 'stranger') return and(was ? 'pair again' : 'not paired');
  if (ok) return wait || 'hub has all';
  return and(`hub ${lately(reached)}`);
}

export function Status() {
  const now = hub.value;
  const away = now.role === 'out' || now.role === 'stranger';
  return html`<a class=${classes('hub', now.ok && !away && 'on', (away || now.waiting > 0 || unsent.value > 0) && 'waits')} href="/phone"><i aria-hidden="true"></i>${hubWords(now)}<span class="aside">: this phone</span></a>`;
}
