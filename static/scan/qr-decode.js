// Reads a picture in several ways: first as it is. If that finds no code, it sharpens the
// picture, for a camera that is out of focus or a hand that moved, and it looks for codes
// with a hidden finder (finder-repair.js).

// readPicture returns [{text, x, y}]: the codes that read (readBarcodes) finds in a picture
// {data, width, height} (RGBA), with their centres in pixels. mode is a name in scan-options.js. A photo
// is read in all ways. Of the frames of a camera, one in four is also sharpened and one in
// four repaired, since each takes a slow phone a quarter of a second; the others are only
// read as they are, so that many are read.
// biome-ignore lint/correctness/noUnusedVariables: scripts of the same worker use it
async function readPicture(read, picture, mode, frameIndex) {
  for (const { at = [0, 0], ...variant } of pictureVariants(picture, mode, frameIndex)) {
    const codes = (await read(variant, scanOptions[mode])).filter((f) => f.isValid);
    if (codes.length) {
      return codes.map(({ text, position: p }) => ({
        text,
        x: at[0] + (p.topLeft.x + p.bottomRight.x) / 2,
        y: at[1] + (p.topLeft.y + p.bottomRight.y) / 2,
      }));
    }
  }
  return [];
}

function* pictureVariants(picture, mode, frameIndex) {
  const { data, width, height } = picture;
  yield { data, width, height };
  if (mode === 'photo' || frameIndex % 4 === 1) yield sharpen(picture);
  if (mode === 'photo' || frameIndex % 4 === 3) yield* repairFinders(picture);
}

// greyOf returns the lightness of each pixel, 0 to 255.
function greyOf({ data, width, height }) {
  const grey = new Uint8Array(width * height);
  for (let i = 0; i < grey.length; i++)
    grey[i] = (data[4 * i] * 306 + data[4 * i + 1] * 601 + data[4 * i + 2] * 117) >> 10;
  return grey;
}

// sharpen returns a grey picture in which each pixel differs five times as much from the mean
// of the 5 × 5 pixels around it.
function sharpen(picture) {
  const { width, height } = picture;
  const grey = greyOf(picture);
  const rowSums = new Uint16Array(grey.length); // five in a row
  for (let i = 2; i < grey.length - 2; i++)
    rowSums[i] = grey[i - 2] + grey[i - 1] + grey[i] + grey[i + 1] + grey[i + 2];
  const data = new Uint8ClampedArray(grey.length * 4).fill(255);
  for (let i = 0; i < grey.length; i++) {
    const isInside = i >= 2 * width && i < grey.length - 2 * width;
    const mean = isInside
      ? (rowSums[i - 2 * width] + rowSums[i - width] + rowSums[i] + rowSums[i + width] + rowSums[i + 2 * width]) / 25
      : grey[i];
    data[4 * i] = data[4 * i + 1] = data[4 * i + 2] = grey[i] + 4 * (grey[i] - mean);
  }
  return { data, width, height };
}
