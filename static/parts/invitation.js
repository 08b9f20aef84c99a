// An invitation for one more phone of the house.
import { html } from './html.js';
import { useState } from 'preact/hooks';
import { now } from '../journal/clock.js';
import { ask } from '../sync/hub-client.js';
import { Code, FirstTime } from './join-code.js';
import { useAsk, useLive } from './data-hooks.js';
import { Wrong } from './messages.js';
import { clock } from './time-text.js';

/** Invite draws one as it opens, and another when its digits are good no more. */
export function Invite() {
  const [turn, next] = useState(0);
  const { value: is, fault } = useAsk(() => ask('invite', {}), [turn]);
  const { value: at } = useLive(now);
  const over = is && at > is.until;
  return html`<div><${Wrong} fault=${fault} />
    ${
      is &&
      !over &&
      html`<${Code} address=${is.address} label="QR code of the invitation" text=${is.digits} help="Or open the app on that phone, tap “Pair this phone” and type" />
      <p class="say centre">Good for one phone, until ${clock(is.until)}.</p>
      <p class="note">On an iPhone type the digits in the app on its home screen. Safari has a storage of its own.</p>
      <${FirstTime} />`
    }
    ${(over || fault) && html`<p class="say">${over ? 'These digits are good no more.' : ''}</p><button type="button" class="act wide" onClick=${() => next(turn + 1)}>Draw new ones</button>`}</div>`;
}
