// The scanner as a part: the camera after a tap, or a photo. Screens give onCode
// (text of a code) and get each code once as it comes into view; what onCode gives
// is waited for, and where that is false there is no beep.
import { html, classes } from './html.js';
import { useEffect, useRef, useState } from 'preact/hooks';
import { camera, releaseCameraSoon, setTorch, startCamera, keepCamera, stopCamera } from '../scan/camera.js';
import { asFault } from '../core/fault.js';
import { signalScan, unlockSound } from '../scan/scan-feedback.js';
import { preloadReader } from '../scan/qr-reader.js';
import { scanPhoto, scanVideo } from '../scan/scanner.js';
import { Icon } from './icons.js';
import { ErrorBox } from './messages.js';

const LightButton = ({ light }) => html`<button type="button" class="act secondary small" aria-pressed=${light}
  onClick=${() => setTorch(!light)}><${Icon} name="light" />Light</button>`;

/** CodeScanner scans. words are on the button that starts it; many lets a photo hold several codes. */
export function CodeScanner({ onCode, words = 'Use the camera', many }) {
  const [fault, tell] = useState(/** @type {import('../core/fault.js').Fault | null} */ (null));
  const [late, delay] = useState(null); // what keeps the reader from looking
  const [busy, work] = useState(false);
  const [empty, setEmpty] = useState(false);
  const video = useRef(/** @type {any} */ (null)),
    seen = useRef(/** @type {any} */ (null));
  const { stream, light } = camera.value;
  seen.current = async (text) => {
    setEmpty(false);
    if ((await onCode(text)) !== false) signalScan();
  };
  const attempt = async (job) => {
    tell(null);
    try {
      await job();
    } catch (err) {
      tell(asFault(err));
    }
  };
  useEffect(() => {
    keepCamera();
    return releaseCameraSoon;
  }, []);
  useEffect(() => {
    if (!stream) return;
    video.current.srcObject = stream;
    video.current.play().catch(() => undefined); // the screen was left at once
    return scanVideo(
      video.current,
      (text) => seen.current(text),
      (err) => delay(err && asFault(err)),
    );
  }, [stream]);
  const on = () => {
    unlockSound();
    preloadReader();
    attempt(startCamera);
  };
  const photo = async (file) => {
    work(true);
    setEmpty(false);
    await attempt(async () => {
      const texts = await scanPhoto(file);
      for (const text of many ? texts : texts.slice(0, 1)) await seen.current(text);
      setEmpty(texts.length === 0);
    });
    work(false);
  };
  return html`<div class="scanner">
    ${
      stream &&
      html`<div class=${classes('view', many && 'low')}>
        <video ref=${video} playsinline muted aria-label="Camera: hold the label’s code in view"></video>
        <svg viewBox="0 0 100 100" aria-hidden="true">
        <path d="M18 30V18h12M70 18h12v12M82 70v12H70M30 82H18V70" /></svg></div>`
    }
    <div class="row">${
      stream
        ? html`${light !== null && html`<${LightButton} light=${light} />`}
        <button type="button" class="act secondary small" onClick=${stopCamera}>Camera off</button>`
        : html`<button type="button" class="act secondary" onClick=${on}><${Icon} name="scan" />${words}</button>`
    }
      <label class="act secondary small snap"><${Icon} name="camera" />${busy ? 'Reading…' : 'Photo'}
        <input type="file" accept="image/*" capture="environment" disabled=${busy} onClick=${unlockSound} onChange=${(
          e,
        ) => {
          const file = e.target.files[0];
          e.target.value = '';
          if (file) photo(file);
        }} /></label></div>
    ${
      empty &&
      html`<p class="note" role="status">No code is seen in this photo.
        Go closer, hold it flat, and keep the shine of a lamp off it.</p>`
    }
    <${ErrorBox} fault=${fault || late} />
  </div>`;
}
