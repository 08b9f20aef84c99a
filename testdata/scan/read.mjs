// Reads QR codes with the scanner that the phone app carries, for tests in Go:
// paths of PNG, JPEG or PGM files on the standard input, one a line; for each one
// line of JSON on the standard output, in the same order:
//
//	{"path": "1.png", "texts": ["HTTPS://…"], "ms": 3.1}
//	{"path": "2.png", "error": "…"}
//
// The settings are those that scan-worker.js uses: "live" for frames of the camera,
// "photo" (with the argument --photo) where there is time. A colour PPM is looked at
// as the scanner does with all that qr-decode.js has, live as frames that show the same,
// and "turn" is that of the last, 0 where the first was enough; of other files zxing
// makes the pixels, and looks once.
import { readFileSync } from 'node:fs';
import { createInterface } from 'node:readline';
import { runInThisContext } from 'node:vm';

const app = new URL('../../static/', import.meta.url);
const vendor = new URL('vendor/zxing-wasm@3.1.4/', app);
const how = process.argv.includes('--photo') ? 'photo' : 'live';

const scripts = [
  new URL('reader.js', vendor),
  ...['scan/scan-options.js', 'scan/qr-decode.js', 'scan/finder-repair.js'].map((name) => new URL(name, app)),
];
runInThisContext(scripts.map((url) => readFileSync(url, 'utf8')).join('\n'));
const { prepareZXingModule, readBarcodes } = runInThisContext('ZXingWASM');
const [options, readPicture] = [runInThisContext('scanOptions')[how], runInThisContext('readPicture')];
await prepareZXingModule({
  overrides: { wasmBinary: readFileSync(new URL('zxing_reader.wasm', vendor)) },
  fireImmediately: true,
});

for await (const path of createInterface({ input: process.stdin })) {
  const said = { path };
  try {
    const body = readFileSync(path);
    const begin = performance.now();
    const picture = ppm(body);
    let found = [];
    if (picture) {
      for (const turn of how === 'photo' ? [0] : [0, 1, 3]) {
        if (!found.length) found = await readPicture(readBarcodes, picture, how, (said.turn = turn));
      }
    } else {
      found = await readBarcodes(body, options);
    }
    said.ms = Math.round((performance.now() - begin) * 10) / 10;
    const wrong = found.find((f) => f.error);
    if (wrong) said.error = wrong.error;
    else said.texts = found.map((f) => f.text);
  } catch (err) {
    said.error = String(err);
  }
  console.log(JSON.stringify(said));
}

// ppm returns the pixels of a colour PPM of 8 bits, as a canvas has them; null for any
// other file.
function ppm(body) {
  const [head, width, height] = /^P6\n(\d+) (\d+)\n255\n/.exec(body.toString('latin1', 0, 40)) || [];
  if (!head) return null;
  const data = new Uint8ClampedArray(4 * width * height).fill(255);
  for (let i = 0, at = head.length; i < data.length; i += 4, at += 3) {
    data[i] = body[at];
    data[i + 1] = body[at + 1];
    data[i + 2] = body[at + 2];
  }
  return { data, width: +width, height: +height };
}
