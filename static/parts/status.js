// When the hub was last reached and how many entries wait for it: small, always there.
import {html, classes} from './html.js';
import {hub} from '/exchange.js';
import {unsent} from '/photos.js';
import {inExample} from '/example.js';
import {style} from '/settings.js';

const print = (ms, more) => new Intl.DateTimeFormat('en-GB', {hour: '2-digit', minute: '2-digit', hour12: style.value.clock12, ...more}).format(ms);
/** clockWords prints a time of day as the person chose. */
export const clockWords = ms => print(ms);
const clock = clockWords;
const day = ms => print(ms, {weekday: 'short'});
const today = ms => new Date(ms).toDateString() === new Date().toDateString();

const many = (n, one, more) => (n === 0 ? '' : n === 1 ? `1 ${one}` : `${n} ${more}`);

/** hubWords says how the phone and the hub stand, in a few words. */
export function hubWords({ok, reached, waiting}) {
  if (inExample) return 'never sent';
  const wait = [many(waiting, 'entry waits', 'entries wait'), many(unsent.value, 'photo waits', 'photos wait')].filter(Boolean).join(' · ');
  if (!reached) return wait ? `no hub yet · ${wait}` : 'no hub yet';
  if (ok) return wait || 'hub has all';
  return [`hub ${today(reached) ? clock(reached) : day(reached)}`, wait].filter(Boolean).join(' · ');
}

export function Status() {
  const now = hub.value;
  return html`<a class=${classes('hub', now.ok && 'on', (now.waiting > 0 || unsent.value > 0) && 'waits')} href="/phone"><i aria-hidden="true"></i>${hubWords(now)}<span class="aside">: this phone</span></a>`;
}
