// Looks at a picture in more than one way. What the reader sees in it as it is is
// taken; what it sees nothing in is sharpened, for a camera that is out of focus or
// a hand that moved, and searched for codes with a hidden finder (mend.js).

// look gives [{text, x, y}], the codes that read (readBarcodes) finds in a picture
// {data, width, height} (RGBA), their middles in pixels. how is a name in scan-how.js:
// a photo gets all looks. Of the frames of a camera every fourth turn gets the one and
// every fourth the other, which cost a slow phone a quarter of a second; the rest are
// seen as they are, and often.
// biome-ignore lint/correctness/noUnusedVariables: scripts of the same worker use it
async function look(read, picture, how, turn) {
  for (const { at = [0, 0], ...way } of ways(picture, how, turn)) {
    const found = (await read(way, scanHow[how])).filter((f) => f.isValid);
    if (found.length) {
      return found.map(({ text, position: p }) => ({
        text,
        x: at[0] + (p.topLeft.x + p.bottomRight.x) / 2,
        y: at[1] + (p.topLeft.y + p.bottomRight.y) / 2,
      }));
    }
  }
  return [];
}

function* ways(picture, how, turn) {
  const { data, width, height } = picture;
  yield { data, width, height };
  if (how === 'photo' || turn % 4 === 1) yield sharpened(picture);
  if (how === 'photo' || turn % 4 === 3) yield* mended(picture);
}

// greyOf gives how light each pixel is, 0 to 255.
function greyOf({ data, width, height }) {
  const grey = new Uint8Array(width * height);
  for (let i = 0; i < grey.length; i++)
    grey[i] = (data[4 * i] * 306 + data[4 * i + 1] * 601 + data[4 * i + 2] * 117) >> 10;
  return grey;
}

// sharpened gives a picture in grey whose pixels stand out from their surroundings,
// five by five, five times as much.
function sharpened(picture) {
  const { width, height } = picture;
  const grey = greyOf(picture);
  const rows = new Uint16Array(grey.length); // five in a row
  for (let i = 2; i < grey.length - 2; i++) rows[i] = grey[i - 2] + grey[i - 1] + grey[i] + grey[i + 1] + grey[i + 2];
  const data = new Uint8ClampedArray(grey.length * 4).fill(255);
  for (let i = 0; i < grey.length; i++) {
    const inside = i >= 2 * width && i < grey.length - 2 * width;
    const around = inside
      ? (rows[i - 2 * width] + rows[i - width] + rows[i] + rows[i + width] + rows[i + 2 * width]) / 25
      : grey[i];
    data[4 * i] = data[4 * i + 1] = data[4 * i + 2] = grey[i] + 4 * (grey[i] - around);
  }
  return { data, width, height };
}
