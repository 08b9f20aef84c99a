// Reads QR codes with the scanner that the phone app carries, for tests in Go:
// paths of PNG, JPEG or PGM files on the standard input, one a line; for each one
// line of JSON on the standard output, in the same order:
//
//	{"path": "1.png", "texts": ["HTTPS://…"], "ms": 3.1}
//	{"path": "2.png", "error": "…"}
//
// The settings are those that scan-worker.js uses: "live" for a frame of the
// camera, "photo" (with the argument --photo) where there is time.
import { readFileSync } from 'node:fs';
import { createInterface } from 'node:readline';
import { runInThisContext } from 'node:vm';

const app = new URL('../../static/', import.meta.url);
const vendor = new URL('vendor/zxing-wasm@3.1.4/', app);
const how = process.argv.includes('--photo') ? 'photo' : 'live';

runInThisContext(readFileSync(new URL('reader.js', vendor), 'utf8') + '\n' + readFileSync(new URL('scan-how.js', app), 'utf8'));
const { prepareZXingModule, readBarcodes } = runInThisContext('ZXingWASM');
const options = runInThisContext('scanHow')[how];
await prepareZXingModule({ overrides: { wasmBinary: readFileSync(new URL('zxing_reader.wasm', vendor)) }, fireImmediately: true });

for await (const path of createInterface({ input: process.stdin })) {
  const said = { path };
  try {
    const body = readFileSync(path);
    const begin = performance.now();
    const found = await readBarcodes(body, options);
    said.ms = Math.round((performance.now() - begin) * 10) / 10;
    const wrong = found.find((f) => !f.isValid);
    if (wrong) said.error = wrong.error;
    else said.texts = found.map((f) => f.text);
  } catch (err) {
    said.error = String(err);
  }
  console.log(JSON.stringify(said));
}
