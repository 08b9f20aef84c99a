// How the scanner looks at a picture: "live" for a frame of the camera, where the
// next comes soon; "photo" where there is one picture and time for all it can do.
// A script of the scanner's worker, and of tests that read as the phone does.
// biome-ignore lint/correctness/noUnusedVariables: scripts of the same worker use it
const scanHow = {
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
