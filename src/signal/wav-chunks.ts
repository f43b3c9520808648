import {
  WavBadHeader,
  WavEmptyFile,
  WavNotWav,
  WavTruncated,
  WavUnsupportedCoding,
  type Where,
} from './wav-errors.js';

/** The samples of a file, and what its header said about their length. */
export interface SampleChunk {
  /** The bytes that are really there, at most as many as promised. */
  readonly body: DataView;
  /** Bytes that the header promises; those present when it left the length open. */
  readonly promised: number;
  readonly openEnded: boolean;
}

const FILE_HEADER_BYTES = 12;
const CHUNK_HEADER_BYTES = 8;
/** Stands for a length in RF64 when the true one is in the ds64 chunk. */
const ELSEWHERE = 0xffff_ffff;

/** First letters of other kinds of file that are taken for WAV. */
const OTHER_KINDS: Readonly<Record<string, string>> = {
  fLaC: 'a FLAC file',
  OggS: 'an Ogg file',
  FORM: 'an AIFF file',
};

/**
 * Finds the format and the samples in a RIFF file (IBM and Microsoft, "Multimedia Programming Interface
 * and Data Specifications 1.0", 1991) or in its 64-bit form RF64 (EBU Tech 3306). No size that stands in
 * the file is believed before it has been compared with the bytes that are there.
 */
export function findChunks(bytes: Uint8Array, where: Where): { formatBody: DataView; samples: SampleChunk } {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  checkKind(view, where);
  const riffSize = view.getUint32(4, true);
  let longSize: number | null = null;
  let formatBody: DataView | null = null;
  let at = FILE_HEADER_BYTES;
  while (at + CHUNK_HEADER_BYTES <= view.byteLength) {
    const name = letters(view, at);
    const size = view.getUint32(at + 4, true);
    const bodyAt = at + CHUNK_HEADER_BYTES;
    const present = Math.min(size, view.byteLength - bodyAt);
    const body = new DataView(view.buffer, view.byteOffset + bodyAt, present);
    if (name === 'data') {
      if (!formatBody)
        throw new WavBadHeader(
          'the samples come before any format chunk, so nothing says how to read them',
          'Write the file again with a complete header',
          where,
        );
      const stated = size === ELSEWHERE && longSize !== null ? longSize : size;
      return { formatBody, samples: sampleChunk(view, bodyAt, stated, riffSize) };
    }
    if (name === 'fmt ') formatBody = body;
    if (name === 'ds64' && present >= 16) longSize = Number(body.getBigUint64(8, true));
    at = bodyAt + size + (size % 2);
  }
  // A chunk that reaches beyond the end hides whatever followed it; one that ends there hides nothing.
  if (at > view.byteLength + 1 || at === FILE_HEADER_BYTES)
    throw new WavTruncated(
      `the file is cut short: it ends after ${view.byteLength} bytes, before its samples begin`,
      'Copy or record the file again',
      where,
    );
  throw new WavBadHeader('the file has no data chunk, so it holds no samples', 'Record it again', where);
}

function checkKind(view: DataView, where: Where): void {
  if (view.byteLength === 0)
    throw new WavEmptyFile('the file is empty (0 bytes)', 'A WAV file with samples is needed', where);
  const kind = view.byteLength >= 4 ? letters(view, 0) : '';
  if (kind === 'RIFX')
    throw new WavUnsupportedCoding(
      'the file is a big-endian WAV (RIFX)',
      'Save it as an ordinary, little-endian WAV',
      where,
    );
  const riff = kind === 'RIFF' || kind === 'RF64' || kind === 'BW64';
  if (riff && view.byteLength < FILE_HEADER_BYTES)
    throw new WavTruncated(
      `the file is cut short: ${view.byteLength} bytes hold no WAV header`,
      'Copy or record the file again',
      where,
    );
  if (riff && letters(view, 8) === 'WAVE') return;
  const other = OTHER_KINDS[kind];
  throw new WavNotWav(
    `the file is not a WAV file${other ? ` but looks like ${other}` : ''}`,
    'Give a WAV file with integer or float samples',
    where,
  );
}

/** The samples from `at` on, with the lengths that writers to a pipe leave behind taken for what they are. */
function sampleChunk(view: DataView, at: number, stated: number, riffSize: number): SampleChunk {
  const present = view.byteLength - at;
  const wholeFile = riffSize + CHUNK_HEADER_BYTES === view.byteLength;
  const openEnded = (stated === 0 && !wholeFile) || (stated > present && isOpenLength(stated));
  const promised = openEnded ? present : stated;
  const body = new DataView(view.buffer, view.byteOffset + at, Math.min(promised, present));
  return { body, promised, openEnded };
}

/** Writers that cannot seek back leave the largest length they know: near 2^31 or 2^32 - 1. */
function isOpenLength(length: number): boolean {
  return length === ELSEWHERE || (length >= 0x7fff_0000 && length <= 0x7fff_ffff);
}

function letters(view: DataView, at: number): string {
  return String.fromCharCode(...[0, 1, 2, 3].map((i) => view.getUint8(at + i)));
}
