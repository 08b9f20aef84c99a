// The camera as a scanner, where the browser itself can read codes. It is asked
// for once, after a tap, and let go when the screen is left or hidden.
import {html} from './html.js';
import {useState, useEffect, useRef} from 'preact/hooks';
import {Icon} from './icons.js';

const can = () => 'BarcodeDetector' in window && Boolean(navigator.mediaDevices?.getUserMedia);

export function Camera({onCode}) {
  const [on, turn] = useState(false);
  const [said, say] = useState('');
  const video = useRef();
  useEffect(() => {
    if (!on) return;
    let stream, open = true, timer;
    const stop = () => { open = false; clearTimeout(timer); stream?.getTracks().forEach(t => t.stop()); turn(false); };
    const hidden = () => { if (document.visibilityState !== 'visible') stop(); };
    const watch = async reader => {
      if (!open) return;
      const [code] = await reader.detect(video.current).catch(() => []);
      if (code?.rawValue && open) { stop(); onCode(code.rawValue); } else timer = setTimeout(() => watch(reader), 120);
    };
    (async () => {
      try {
        stream = await navigator.mediaDevices.getUserMedia({video: {facingMode: 'environment'}, audio: false});
        if (!open) return stream.getTracks().forEach(t => t.stop());
        video.current.srcObject = stream;
        await video.current.play();
        watch(new BarcodeDetector({formats: ['qr_code']}));
      } catch (err) {
        say(err.name === 'NotAllowedError' ? 'The camera is not allowed for this page. Type the number instead, or allow it in the browser.' : 'No camera answers here. Type the number instead.');
        turn(false);
      }
    })();
    document.addEventListener('visibilitychange', hidden);
    return () => { document.removeEventListener('visibilitychange', hidden); open = false; clearTimeout(timer); stream?.getTracks().forEach(t => t.stop()); };
  }, [on]);
  if (!can()) return html`<p class="sub">This browser cannot read codes by itself. Use the phone’s own camera on the label, or type the number underlined on it.</p>`;
  return html`${on ? html`<video class="camera" ref=${video} playsinline muted aria-label="Camera: hold the label’s code in view"></video>` : html`<button type="button" class="act two wide" onClick=${() => { say(''); turn(true); }}><${Icon} name="scan" />Use the camera</button>`}
    ${said && html`<p class="note" role="status">${said}</p>`}`;
}
