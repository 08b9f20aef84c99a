// The reader's options: "live" for a frame of the camera, since the next frame comes soon; "photo"
// for a single picture, where there is time to try everything. This script runs in the scanner's
// worker, and in tests that read as the phone does.
// biome-ignore lint/correctness/noUnusedVariables: scripts of the same worker use it
const scanOptions = {
  live: {
    formats: ['QRCodeModel2'],
    textMode: 'Plain',
    tryHarder: true,
    tryRotate: false,
    tryInvert: false,
    tryDownscale: true,
    maxNumberOfSymbols: 12,
  },
  photo: {
    formats: ['QRCodeModel2'],
    textMode: 'Plain',
    tryHarder: true,
    tryRotate: true,
    tryInvert: true,
    tryDownscale: true,
    tryDenoise: true,
    maxNumberOfSymbols: 12,
  },
};
