// The scanner: it reads codes with the camera, after a tap, or from a photo. It calls
// onCode once with the text of each code that comes into view, waits for its result, and beeps
// unless that is false.
import { html, classes } from './html.js';
import { useEffect, useRef, useState } from 'preact/hooks';
import { camera, releaseCameraSoon, setTorch, startCamera, keepCamera, stopCamera } from '../scan/camera.js';
import { asFault } from '../core/fault.js';
import { signalScan, unlockSound } from '../scan/scan-feedback.js';
import { preloadReader } from '../scan/qr-reader.js';
import { scanPhoto, scanVideo } from '../scan/scanner.js';
import { Icon } from './icons.js';
import { ErrorBox } from './messages.js';

const LightButton = ({
  isTorchOn,
}) => html`<button type="button" class="button secondary small" aria-pressed=${isTorchOn}
  onClick=${() => setTorch(!isTorchOn)}><${Icon} name="light" />Light</button>`;

/** CodeScanner scans codes. words are the text of its start button; allCodes reads all codes of a photo. */
export function CodeScanner({ onCode, words = 'Use the camera', allCodes }) {
  const [fault, setFault] = useState(/** @type {import('../core/fault.js').Fault | null} */ (null));
  const [readerFault, setReaderFault] = useState(null); // why the reader does not work
  const [busy, setBusy] = useState(false);
  const [isEmpty, setIsEmpty] = useState(false); // whether the last photo had no code
  const video = useRef(/** @type {any} */ (null)),
    handleCode = useRef(/** @type {any} */ (null));
  const { stream, isTorchOn } = camera.value;
  handleCode.current = async (text) => {
    setIsEmpty(false);
    if ((await onCode(text)) !== false) signalScan();
  };
  const showFault = async (work) => {
    setFault(null);
    try {
      await work();
    } catch (err) {
      setFault(asFault(err));
    }
  };
  useEffect(() => {
    keepCamera();
    return releaseCameraSoon;
  }, []);
  useEffect(() => {
    if (!stream) return;
    video.current.srcObject = stream;
    video.current.play().catch(() => undefined); // the screen was left right away
    return scanVideo(
      video.current,
      (text) => handleCode.current(text),
      (err) => setReaderFault(err && asFault(err)),
    );
  }, [stream]);
  const startScanning = () => {
    unlockSound();
    preloadReader();
    showFault(startCamera);
  };
  const readPhoto = async (file) => {
    setBusy(true);
    setIsEmpty(false);
    await showFault(async () => {
      const texts = await scanPhoto(file);
      for (const text of allCodes ? texts : texts.slice(0, 1)) await handleCode.current(text);
      setIsEmpty(texts.length === 0);
    });
    setBusy(false);
  };
  return html`<div class="scanner">
    ${
      stream &&
      html`<div class=${classes('viewfinder', allCodes && 'short')}>
        <video ref=${video} playsinline muted aria-label="Camera: hold the label’s code in view"></video>
        <svg viewBox="0 0 100 100" aria-hidden="true">
        <path d="M18 30V18h12M70 18h12v12M82 70v12H70M30 82H18V70" /></svg></div>`
    }
    <div class="row">${
      stream
        ? html`${isTorchOn !== null && html`<${LightButton} isTorchOn=${isTorchOn} />`}
        <button type="button" class="button secondary small" onClick=${stopCamera}>Camera off</button>`
        : html`<button type="button" class="button secondary" onClick=${startScanning}><${Icon}
          name="scan" />${words}</button>`
    }
      <label class="button secondary small file-button"><${Icon} name="camera" />${busy ? 'Reading…' : 'Photo'}
        <input type="file" accept="image/*" capture="environment" disabled=${busy} onClick=${unlockSound} onChange=${(
          e,
        ) => {
          const file = e.target.files[0];
          e.target.value = '';
          if (file) readPhoto(file);
        }} /></label></div>
    ${
      isEmpty &&
      html`<p class="note" role="status">No code was found in this photo. Go closer, hold the label flat, and
        avoid glare.</p>`
    }
    <${ErrorBox} fault=${fault || readerFault} />
  </div>`;
}
