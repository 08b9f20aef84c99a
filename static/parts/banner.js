// Lines across the top: this is the example, an update is there, another hub answers.
import {html} from './html.js';
import {hub, understood} from '/exchange.js';
import {update} from '/register.js';
import {inExample, leaveExample} from '/example.js';

export const Banner = () => html`
  ${inExample && html`<div class="banner"><p>All of this is an invented example.</p><button type="button" onClick=${leaveExample}>Leave it</button></div>`}
  ${update.value && html`<div class="banner" role="status"><p>A new version of the app is here.</p><button type="button" onClick=${() => update.value()}>Take it now</button></div>`}
  ${hub.value.other && html`<div class="banner" role="status"><p>Another hub answers than before. Both get all entries.</p><button type="button" onClick=${understood}>Good</button></div>`}`;
