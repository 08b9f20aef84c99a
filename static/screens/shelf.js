// Shelf: the places where bags stand, and later what is in stock.
import { Kind } from '../dist/constants.js';
import { html } from '../parts/html.js';
import { useState } from 'preact/hooks';
import { call } from '../core/core.js';
import { record } from '../journal/journal.js';
import { isHelper } from '../sync/hub-state.js';
import { navigate } from '../device/router.js';
import { placeViews } from '../journal/views.js';
import { useLiveData, useAction } from '../parts/data-hooks.js';
import { Screen } from '../parts/screen.js';
import { Dialog } from '../parts/dialog.js';
import { Field } from '../parts/field.js';
import { Icon } from '../parts/icons.js';
import { ErrorBox } from '../parts/messages.js';

export function Shelf() {
  const { value: places, fault } = useLiveData(placeViews);
  const [adding, add] = useState(false);
  return html`<${Screen} here="shelf" title="Shelf" fault=${fault} acts=${!isHelper.value && html`<button type="button" class="act" onClick=${() => add(true)}>New place</button>`}>
    <section class="close"><h2>Places</h2>
      ${places?.length === 0 && html`<p class="sub">${isHelper.value && 'None of this batch’s bags stands anywhere yet. '}A place is where bags stand: a shed, a kitchen, a warm cupboard. Its temperature tells when they are ready.</p>`}
      ${places?.map((p) => html`<a class="link-row" href=${`/place/${p.id}`} key=${p.id}><span><b class="first">${p.name}</b><span class="sub">${[p.text, p.usual].filter(Boolean).join(' · ')}</span></span><${Icon} name="on" /></a>`)}
    </section>
    ${!isHelper.value && html`<section><h2>Stock</h2><p class="sub">Powders and soda ash are not kept count of yet.</p></section>`}
    <${Dialog} open=${adding} onClose=${() => add(false)} title="New place"><${New} done=${() => add(false)} /></${Dialog}>
  </${Screen}>`;
}

function New({ done }) {
  const [name, set] = useState('');
  const [run, fault, busy] = useAction();
  const save = (e) => {
    e.preventDefault();
    run(async () => {
      const [id] = await call('id.new', { n: 1 });
      await record([{ scope: `place/${id}`, subject: id, kind: Kind.placeNamed, body: { name: name.trim() } }], {
        undo: `${name.trim()} added`,
      });
      done();
      navigate(`/place/${id}`);
    });
  };
  return html`<form onSubmit=${save}><${Field} label="Name of the place" value=${name} onInput=${set} placeholder="shed, kitchen, by the boiler" autofocus enterkeyhint="go" /><${ErrorBox} fault=${fault} /><button class="act wide" disabled=${busy || !name.trim()}>Add the place</button></form>`;
}
