// The reader of codes in a worker. A picture comes as {id, picture, how}: an
// ImageData, and what scan-how.js has under that name; what was read goes as {id,
// found: [{text, x, y}]}, the middle of each code in pixels.
importScripts('/scan-how.js', '/vendor/zxing-wasm@3.1.4/reader.js');

// Its wasm stands beside it; left to itself it would ask another host.
ZXingWASM.prepareZXingModule({ overrides: { locateFile: (file) => `/vendor/zxing-wasm@3.1.4/${file}` } });

self.onmessage = async ({ data: { id, picture, how } }) => {
  try {
    const found = await ZXingWASM.readBarcodes(picture, scanHow[how]);
    postMessage({ id, found: found.filter((f) => f.isValid).map(({ text, position: p }) => ({
      text, x: (p.topLeft.x + p.bottomRight.x) / 2, y: (p.topLeft.y + p.bottomRight.y) / 2 })) });
  } catch (err) {
    postMessage({ id, error: String(err) });
  }
};
