// The code reader in a worker. A picture arrives as {id, picture, how}: an ImageData and a name in
// scan-options.js. The answer is {id, found: [{text, x, y}]}, with the centre of each code in
// pixels.
importScripts(
  '/scan/scan-options.js',
  '/scan/qr-decode.js',
  '/scan/finder-repair.js',
  '/vendor/zxing-wasm@3.1.4/reader.js',
);

// Its wasm file is beside it; by default it would ask another host.
ZXingWASM.prepareZXingModule({ overrides: { locateFile: (file) => `/vendor/zxing-wasm@3.1.4/${file}` } });

let frameCount = 0;
self.onmessage = async ({ data: { id, picture, how } }) => {
  try {
    postMessage({ id, found: await readPicture(ZXingWASM.readBarcodes, picture, how, frameCount++) });
  } catch (err) {
    postMessage({ id, error: String(err) });
  }
};
