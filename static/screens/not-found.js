// The screen for a path that the app does not have.
import { html } from '../parts/html.js';
import { Screen } from '../parts/screen.js';

export const NotFound = () =>
  html`<${Screen} activeTab="" title="There is no such page"
    sub="The address may be mistyped, or belong to a newer version."
    actions=${html`<a class="button" href="/">Go to Today</a>`} />`;
