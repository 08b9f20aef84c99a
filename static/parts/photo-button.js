// A button that takes a photo with the phone's camera, or picks one.
import { html } from './html.js';
import { Icon } from './icons.js';

/** PhotoButton passes the file to onPhoto; onOpen runs when it is tapped. */
export function PhotoButton({ words, busy, onPhoto, onOpen }) {
  const handleChange = (e) => {
    const file = e.target.files[0];
    e.target.value = ''; // the same photo may be picked again
    if (file) onPhoto(file);
  };
  return html`<label class="button secondary small file-button"><${Icon} name="camera" />${words}
    <input type="file" accept="image/*" capture="environment" disabled=${busy} onClick=${onOpen}
      onChange=${handleChange} />
  </label>`;
}
