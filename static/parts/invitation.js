// An invitation for one more phone of the house.
import { html } from './html.js';
import { useState } from 'preact/hooks';
import { hubNow } from '../journal/clock.js';
import { requestHub } from '../sync/hub-client.js';
import { JoinCode, FirstVisitHelp } from './join-code.js';
import { useData, useLiveData } from './data-hooks.js';
import { ErrorBox } from './messages.js';
import { timeOfDay } from './time-text.js';

/** Invitation draws one as it opens, and another when its digits are good no more. */
export function Invitation() {
  const [turn, next] = useState(0);
  const { value: is, fault } = useData(() => requestHub('invite', {}), [turn]);
  const { value: at } = useLiveData(hubNow);
  const over = is && at && at > is.until;
  return html`<div><${ErrorBox} fault=${fault} />
    ${
      is &&
      !over &&
      html`<${JoinCode} address=${is.address} label="QR code of the invitation" text=${is.digits} help="Or open the app on that phone, tap “Pair this phone” and type" />
      <p class="say centre">Good for one phone, until ${timeOfDay(is.until)}.</p>
      <p class="note">On an iPhone type the digits in the app on its home screen. Safari has a storage of its own.</p>
      <${FirstVisitHelp} />`
    }
    ${(over || fault) && html`<p class="say">${over ? 'These digits are good no more.' : ''}</p><button type="button" class="act wide" onClick=${() => next(turn + 1)}>Draw new ones</button>`}</div>`;
}
