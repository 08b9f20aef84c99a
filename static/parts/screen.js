// The frame of every screen: the top line, the heading, the buttons in reach of the
// thumb, and the navigation bar.
import { html } from './html.js';
import { useEffect } from 'preact/hooks';
import { NavBar } from './nav-bar.js';
import { Icon } from './icons.js';
import { HubStatus } from './hub-status.js';
import { AlarmOverlay } from './alarm-overlay.js';
import { Banner } from './banner.js';
import { Toast } from './toast.js';
import { SvgPatterns } from './dye-front.js';
import { ErrorBox } from './messages.js';

/**
 * Screen: title is the heading, overline is the small text above it and sub the one below; back is {href, words};
 * actions are the buttons at the bottom; activeTab is the current tab of the navigation bar; tone colours the heading.
 */
export function Screen({ title, name = title, overline, sub, back, actions, activeTab, tone, fault, children }) {
  useEffect(() => {
    document.title = typeof name === 'string' ? `${name} · coldbatch` : 'coldbatch';
  }, [name]);
  return html`<div class="app">
    <${SvgPatterns} />
    <${AlarmOverlay} />
    <${Banner} />
    <header class="top">
      ${
        back
          ? html`<a class="back" href=${back.href}><${Icon} name="back" />${back.words}</a>`
          : html`<a class="brand" href="/"><${Logo} />coldbatch</a>`
      }
      <${HubStatus} />
    </header>
    <main>
      <div class="head">
        ${overline && html`<p class="overline">${overline}</p>`}
        <h1 tabindex="-1" class=${tone ? 'tone-' + tone : undefined}>${title}</h1>
        ${sub && html`<p class="sub">${sub}</p>`}
      </div>
      ${!fault?.goOn && html`<${ErrorBox} fault=${fault} />`}
      ${children}
    </main>
    <div class="foot">
      <${Toast} />
      ${
        fault?.goOn
          ? html`<div class="question"><${ErrorBox} fault=${fault} /></div>`
          : actions && html`<div class="actions" role="region" aria-label="Actions">${actions}</div>`
      }
      <${NavBar} activeTab=${activeTab} />
    </div>
  </div>`;
}

/** Logo is the program's logo: a tag with dye rising in it. */
const Logo = () => html`<svg viewBox="0 0 24 24" aria-hidden="true">
  <path d="M7 2h10l3 5v15H4V7z" fill="none" stroke="currentColor" stroke-width="2" stroke-linejoin="round" />
  <circle cx="12" cy="7" r="1.7" fill="currentColor" />
  <path d="M4.5 15c2 1.6 3.3-1.6 5.4-.5s3.4 1.7 5.2.1 2.9-.8 4.4.4v6.5h-15z" fill="currentColor" /></svg>`;
