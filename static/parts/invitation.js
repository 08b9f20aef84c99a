// An invitation for one more phone of the house.
import { html } from './html.js';
import { useState } from 'preact/hooks';
import { hubNow } from '../journal/clock.js';
import { requestHub } from '../sync/hub-client.js';
import { useData, useLiveData } from './data-hooks.js';
import { FirstVisitHelp, JoinCode } from './join-code.js';
import { ErrorBox } from './messages.js';
import { timeOfDay } from './time-text.js';

/** Invitation asks the hub for a code when it opens, and offers a new one once that has expired. */
export function Invitation() {
  const [attempt, setAttempt] = useState(0);
  const { value: code, fault } = useData(() => requestHub('invite', {}), [attempt]);
  const { value: now, fault: clockFault } = useLiveData(hubNow);
  const isExpired = code && now && now > code.until;
  return html`<div><${ErrorBox} fault=${fault || clockFault} />
    ${code && !isExpired && html`<${ValidCode} code=${code} />`}
    ${isExpired && html`<p class="body-text">This code has expired.</p>`}
    ${
      (isExpired || fault) &&
      html`<button type="button" class="button wide" onClick=${() => setAttempt(attempt + 1)}>New code</button>`
    }
  </div>`;
}

const ValidCode = ({ code }) => html`
  <${JoinCode} address=${code.address} label="QR code for the invitation" text=${code.digits}
    help="Or open the app on that phone, tap “Pair this phone” and type" />
  <p class="body-text centre">Valid for one phone, until ${timeOfDay(code.until)}.</p>
  <p class="note">On an iPhone type the digits in the app on its home screen. Safari has its own storage.</p>
  <${FirstVisitHelp} />`;
