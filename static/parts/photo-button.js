// A button that takes a photo with the phone's camera, or picks one.
import { html } from './html.js';
import { Icon } from './icons.js';

/** PhotoButton gives the file to onPhoto; onOpen runs as it is tapped. */
export function PhotoButton({ words, busy, onPhoto, onOpen }) {
  const change = (e) => {
    const file = e.target.files[0];
    e.target.value = ''; // the same photo may be picked again
    if (file) onPhoto(file);
  };
  return html`<label class="act secondary small snap"><${Icon} name="camera" />${words}
    <input type="file" accept="image/*" capture="environment" disabled=${busy} onClick=${onOpen} onChange=${change} />
  </label>`;
}
