// Alarms for one bag, the bags of a batch or those in a place: an entry in the phone's
// calendar, which rings while the app is closed, and what the app itself does while it is open.
import { html, capitalize } from './html.js';
import { useState } from 'preact/hooks';
import { alarmSetting, setAlarmSetting, style } from '../device/settings.js';
import { saveFile } from '../device/save-file.js';
import { isScreenKept, setScreenKept } from '../device/wake-lock.js';
import { playNotes } from '../device/ring.js';
import { makeCalendar } from '../journal/views.js';
import { hub, isHelper } from '../sync/hub-state.js';
import { Choice } from './choice.js';
import { useAction } from './data-hooks.js';
import { LinkRow } from './link-row.js';
import { ErrorBox } from './messages.js';

const onOff = [
  { value: 'on', words: 'on' },
  { value: 'off', words: 'off' },
];

/** AlarmForm offers the alarms of order: {batch}, {batch, bag} or {place}. */
export function AlarmForm({ order }) {
  const [run, fault, busy] = useAction();
  const [omitted, setOmitted] = useState('');
  const save = () =>
    run(async () => {
      const file = await makeCalendar(order);
      setOmitted(file.omitted || '');
      await saveFile(new File([file.text], file.name, { type: 'text/calendar' }));
    });
  return html`<div>
    <p class="body-text">No app can ring while it is closed and there is no internet, but this phone’s calendar can.</p>
    <button type="button" class="button wide" disabled=${busy} onClick=${save}>Add to the calendar</button>
    <${ErrorBox} fault=${fault} />
    ${omitted && html`<p class="note">${capitalize(omitted)}.</p>`}
    ${
      hub.value.isReached &&
      html`<a class="text-button" target="_self" href=${fileAddress(order)}>Get it from the hub instead</a>`
    }
    <p class="sub body-text">What you add this way stays as it is. After a warmer or colder reading add it again:
      it takes the place of the old one.</p>
    ${
      !isHelper.value &&
      html`<${LinkRow} href="/calendars" title="A calendar that stays up to date"
        sub="subscribe once, and it moves with every reading" />`
    }
    <${InAppAlarmSettings} />
  </div>`;
}

const fileAddress = (order) =>
  `/api/v1/calendar?${new URLSearchParams({ ...order, ...(style.value.clock12 && { clock12: '1' }) })}`;

/** InAppAlarmSettings are the settings for alarms that ring while the app is open. */
export const InAppAlarmSettings = () => html`<section><h2>While the app is open</h2>
  <p class="sub">It rings and shows what is ready. When you open it, it first shows what came due
    while it was closed.</p>
  <${Choice} label="Sound" value=${alarmSetting.value.sound ? 'on' : 'off'} options=${onOff}
    onChange=${(value) => {
      setAlarmSetting({ sound: value === 'on' });
      if (value === 'on') playNotes();
    }} />
  <${Choice} label="Keep the screen on" value=${isScreenKept.value ? 'on' : 'off'} options=${onOff}
    onChange=${(value) => setScreenKept(value === 'on')} />
  <p class="sub">An iPhone’s silent switch mutes the sound too, and it does not vibrate.</p>
</section>`;
