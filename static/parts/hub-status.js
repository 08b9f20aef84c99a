// The small status line at the top: when the hub was last reached and how much is still to send.
import { html, capitalize, classes } from './html.js';
import { hub } from '../sync/hub-state.js';
import { unsentPhotos } from '../sync/photos.js';
import { exampleMode } from '../device/example-mode.js';
import { shortTime } from './time-text.js';

/** countText writes a count with its noun: "1 photo", "3 photos"; for 0 it returns "". */
export const countText = (count, singular, plural) =>
  count === 0 ? '' : count === 1 ? `1 ${singular}` : `${count} ${plural}`;

/** hubStatusText says in a few words whether the phone and the hub are in sync. */
export function hubStatusText({ isReached, reachedAt, unsentCount, role, wasPaired }) {
  if (exampleMode) return 'never sent';
  const unsentText = [
    unsentCount > 0 && `${unsentCount} to send`,
    countText(unsentPhotos.value, 'photo to send', 'photos to send'),
  ]
    .filter(Boolean)
    .join(' · ');
  const withUnsent = (text) => [text, unsentText].filter(Boolean).join(' · ');
  if (!reachedAt) return withUnsent('no hub yet');
  if (role === 'out') return withUnsent('removed');
  if (role === 'stranger') return withUnsent(wasPaired ? 'pair again' : 'not paired');
  if (isReached) return unsentText || 'synced';
  return withUnsent(`hub ${shortTime(reachedAt)}`);
}

export function HubStatus() {
  const state = hub.value;
  const hasNoAccess = state.role === 'out' || state.role === 'stranger';
  const needsAttention = hasNoAccess || state.unsentCount > 0 || unsentPhotos.value > 0;
  const isReached = state.isReached && !hasNoAccess;
  return html`<a class=${classes('hub', isReached && 'reached', needsAttention && 'attention')} href="/phone">
    <i aria-hidden="true"></i>${capitalize(hubStatusText(state))}<span class="visually-hidden">: this phone</span></a>`;
}
