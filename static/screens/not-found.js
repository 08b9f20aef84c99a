// A path that is none of the app's.
import { html } from '../parts/html.js';
import { Screen } from '../parts/screen.js';

export const NotFound = () =>
  html`<${Screen} here="" title="There is no such page" sub="The address may be mistyped, or of a newer version."
    acts=${html`<a class="act" href="/">Go to today</a>`} />`;
