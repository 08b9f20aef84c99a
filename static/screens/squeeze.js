// Squeeze bottle: measured once, so that doses are counted in squeezes.
import { html } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { useScreenOn } from '../device/wake-lock.js';
import { receiveReturn } from '../parts/screen-handoff.js';
import { Screen } from '../parts/screen.js';
import { SqueezeForm, useSqueeze } from '../parts/squeeze-form.js';

export function Squeeze() {
  const [back] = useState(() => receiveReturn() || { href: '/', words: 'Today' });
  const form = useSqueeze();
  useScreenOn();
  const save = () => {
    form.save();
    history.back();
  };
  return html`<${Screen} activeTab="batches" title="Squeeze bottle" back=${back}
    actions=${html`<button type="button" class="button" disabled=${!form.canSave} onClick=${save}>Save</button>`}>
    <${SqueezeForm} form=${form} />
  </${Screen}>`;
}
