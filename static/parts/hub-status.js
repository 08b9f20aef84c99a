// When the hub was last reached and how many entries wait for it: small, always there.
import { html, capitalize, classes } from './html.js';
import { hub } from '../sync/hub-state.js';
import { unsentPhotos } from '../sync/photos.js';
import { exampleMode } from '../device/example-mode.js';
import { shortTime } from './time-text.js';

/** countOf counts things in words; none of them is nothing. */
export const countOf = (n, one, more) => (n === 0 ? '' : n === 1 ? `1 ${one}` : `${n} ${more}`);

/** hubStatusText says how the phone and the hub stand, in a few words. */
export function hubStatusText({ ok, reached, waiting, role, was }) {
  if (exampleMode) return 'never sent';
  const wait = [waiting > 0 && `${waiting} to send`, countOf(unsentPhotos.value, 'photo to send', 'photos to send')]
    .filter(Boolean)
    .join(' · ');
  const and = (words) => [words, wait].filter(Boolean).join(' · ');
  if (!reached) return and('no hub yet');
  if (role === 'out') return and('removed');
  if (role === 'stranger') return and(was ? 'pair again' : 'not paired');
  if (ok) return wait || 'synced';
  return and(`hub ${shortTime(reached)}`);
}

export function HubStatus() {
  const now = hub.value;
  const away = now.role === 'out' || now.role === 'stranger';
  const waits = away || now.waiting > 0 || unsentPhotos.value > 0;
  return html`<a class=${classes('hub', now.ok && !away && 'on', waits && 'waits')} href="/phone">
    <i aria-hidden="true"></i>${capitalize(hubStatusText(now))}<span class="aside">: this phone</span></a>`;
}
