// Zip archives (PKWARE's APPNOTE 6.3): written without compression, since photos are compressed
// already; read with deflate or without. No file in them may be larger than 4 GB.
import { Fault } from '../core/fault.js';

const [localHeader, centralHeader, endOfDirectory] = [0x04034b50, 0x02014b50, 0x06054b50];
const version = 20;
const firstDate = 0x21; // 1 January 1980: an archive of the same files has the same bytes
const mostBytes = 0xffffffff;

const crcTable = Uint32Array.from({ length: 256 }, (_, n) => {
  for (let k = 0; k < 8; k++) n = n & 1 ? (n >>> 1) ^ 0xedb88320 : n >>> 1;
  return n;
});

/** crc32 is the checksum of a zip, by ISO 3309. */
export function crc32(bytes) {
  let c = ~0;
  for (const b of bytes) c = crcTable[(c ^ b) & 255] ^ (c >>> 8);
  return ~c >>> 0;
}

/** header writes fields {value, size in bytes} and then a text, all little-endian. */
function header(fields, text) {
  const name = new TextEncoder().encode(text);
  const size = fields.reduce((sum, [, n]) => sum + n, 0);
  const out = new Uint8Array(size + name.length);
  const view = new DataView(out.buffer);
  let at = 0;
  for (const [value, n] of fields) {
    if (n === 4) view.setUint32(at, value, true);
    else view.setUint16(at, value, true);
    at += n;
  }
  out.set(name, size);
  return out;
}

/** ZipWriter collects files; finish returns the archive. */
export class ZipWriter {
  parts = /** @type {BlobPart[]} */ ([]);
  directory = /** @type {Uint8Array<ArrayBuffer>[]} */ ([]);
  size = 0;

  /** add adds a file with that name, in ASCII. */
  add(name, bytes) {
    const length = name.length;
    // What a header here and its entry in the directory have in common.
    const common = [
      [version, 2],
      [0, 2],
      [0, 2],
      [0, 2],
      [firstDate, 2],
      [crc32(bytes), 4],
      [bytes.length, 4],
      [bytes.length, 4],
      [length, 2],
      [0, 2],
    ];
    const local = header([[localHeader, 4], ...common], name);
    const rest = [
      [0, 2],
      [0, 2],
      [0, 2],
      [0, 4],
      [this.size, 4],
    ];
    this.directory.push(header([[centralHeader, 4], [version, 2], ...common, ...rest], name));
    this.parts.push(local, new Blob([bytes])); // a browser may keep a blob on its disk
    this.size += local.length + bytes.length;
    if (this.size > mostBytes)
      throw new Fault({
        code: 'full',
        sentence: 'this is too much for one zip file',
        hint: 'export on the hub instead',
      });
  }

  /** finish returns the archive as a Blob. */
  finish() {
    const count = this.directory.length;
    const length = this.directory.reduce((sum, d) => sum + d.length, 0);
    const end = header(
      [
        [endOfDirectory, 4],
        [0, 2],
        [0, 2],
        [count, 2],
        [count, 2],
        [length, 4],
        [this.size, 4],
        [0, 2],
      ],
      '',
    );
    return new Blob([...this.parts, ...this.directory, end], { type: 'application/zip' });
  }
}

const damaged = () => new Fault({ code: 'damaged', sentence: 'this file is not a readable zip' });

const viewOf = async (blob) => new DataView(await blob.arrayBuffer());

/** listZip returns {name, read} for each file of an archive, a Blob; read returns its bytes, or throws a Fault. */
export async function listZip(archive) {
  const tailFrom = Math.max(0, archive.size - 65557); // the end, with the longest comment
  const tail = await viewOf(archive.slice(tailFrom));
  let end = tail.byteLength - 22;
  while (end >= 0 && tail.getUint32(end, true) !== endOfDirectory) end--;
  if (end < 0) throw damaged();
  const [count, length, from] = [
    tail.getUint16(end + 10, true),
    tail.getUint32(end + 12, true),
    tail.getUint32(end + 16, true),
  ];
  const directory = await viewOf(archive.slice(from, from + length));
  const files = /** @type {{name: string, read: (most: number) => Promise<Uint8Array>}[]} */ ([]);
  for (let at = 0, i = 0; i < count; i++) {
    if (at + 46 > directory.byteLength || directory.getUint32(at, true) !== centralHeader) throw damaged();
    const short = (offset) => directory.getUint16(at + offset, true);
    const long = (offset) => directory.getUint32(at + offset, true);
    const entry = { method: short(10), crc: long(16), packed: long(20), size: long(24), offset: long(42) };
    const nameEnd = 46 + short(28);
    if (at + nameEnd > directory.byteLength) throw damaged();
    const name = new TextDecoder().decode(new Uint8Array(directory.buffer, at + 46, short(28)));
    files.push({ name, read: (most) => readEntry(archive, entry, most) });
    at += nameEnd + short(30) + short(32);
  }
  return files;
}

/** readEntry returns the bytes of one file, of at most that many. */
async function readEntry(archive, { method, crc, packed, size, offset }, most) {
  const head = await viewOf(archive.slice(offset, offset + 30));
  if (head.byteLength < 30 || head.getUint32(0, true) !== localHeader || size > most) throw damaged();
  const from = offset + 30 + head.getUint16(26, true) + head.getUint16(28, true);
  const bytes = await unpack(archive.slice(from, from + packed), method, size);
  if (bytes.length !== size || crc32(bytes) !== crc) throw damaged();
  return bytes;
}

/** unpack returns what a packed part holds; it stops once that is more than size. */
async function unpack(blob, method, size) {
  if (method === 0) return new Uint8Array(await blob.arrayBuffer());
  if (method !== 8) throw damaged();
  const reader = blob.stream().pipeThrough(new DecompressionStream('deflate-raw')).getReader();
  const out = new Uint8Array(size);
  let at = 0;
  try {
    for (let part = await reader.read(); !part.done; part = await reader.read()) {
      if (at + part.value.length > size) throw damaged();
      out.set(part.value, at);
      at += part.value.length;
    }
  } catch {
    throw damaged();
  }
  return out.subarray(0, at);
}
