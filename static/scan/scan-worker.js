// The reader of codes in a worker. A picture comes as {id, picture, how}: an
// ImageData, and what scan-how.js has under that name; what was read goes as {id,
// found: [{text, x, y}]}, the middle of each code in pixels.
importScripts(
  '/scan/scan-options.js',
  '/scan/qr-decode.js',
  '/scan/finder-repair.js',
  '/vendor/zxing-wasm@3.1.4/reader.js',
);

// Its wasm stands beside it; left to itself it would ask another host.
ZXingWASM.prepareZXingModule({ overrides: { locateFile: (file) => `/vendor/zxing-wasm@3.1.4/${file}` } });

let turnCount = 0;
self.onmessage = async ({ data: { id, picture, how } }) => {
  try {
    postMessage({ id, found: await readPicture(ZXingWASM.readBarcodes, picture, how, turnCount++) });
  } catch (err) {
    postMessage({ id, error: String(err) });
  }
};
