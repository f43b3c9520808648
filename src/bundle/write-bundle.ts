import { createWriteStream } from 'node:fs';
import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { type Options, ZipFile } from 'yazl';
import type { RunContent } from './content.js';
import { documentsOf, hashOf } from './documents.js';
import { type Listed, manifestText } from './manifest.js';
import { captureMember, MEMBER } from './members.js';
import { readmeText } from './readme.js';
import { identityOfRun } from './seal.js';

/** Where the bytes of captures come from, one at a time: all of them together may be more than memory holds. */
export type CaptureSource = (point: number) => Promise<Uint8Array>;

/** What was packed. */
export interface Packed {
  readonly identity: string;
  readonly captures: number;
}

/** The first moment that a ZIP file can name, so that the same run gives the same bytes. Its fields are local time. */
const NO_TIME = new Date(1980, 0, 1, 0, 0, 0);
const OPTIONS: Partial<Options> = { mtime: NO_TIME, mode: 0o100644, forceDosTimestamp: true };

/**
 * Writes a run into a new file: a ZIP with a manifest, documents and, where asked for, captures. The same run gives
 * the same bytes.
 *
 * @param path file to write; what is there is overwritten, so name one that is yours
 * @param made_with version of this program
 * @param captures null leaves them out
 * @throws RunGoesOn; what the source of captures throws; the file system's errors
 */
export async function writeBundle(
  path: string,
  content: RunContent,
  made_with: string,
  captures: CaptureSource | null,
): Promise<Packed> {
  const documents = [
    ...documentsOf(content),
    [MEMBER.readme, readmeText(content, captures !== null)] as const,
  ].map(([name, text]) => ({ name, bytes: Buffer.from(text) }));
  const kept = captures ? content.captures : [];
  const listed: Listed[] = documents.map(({ name, bytes }) => ({
    name,
    bytes: bytes.length,
    sha256: hashOf(bytes),
  }));
  // Read once for the list and again when they are written: each read proves that the bytes are the stored ones.
  for (const { point, sha256 } of kept)
    listed.push({ name: captureMember(point), bytes: (await captures!(point)).length, sha256 });
  listed.sort(byName);
  const identity = identityOfRun(content);
  const { run, origin } = content.record;
  const manifest = manifestText({ made_with, run: origin?.run ?? run, identity, members: listed });
  const zip = new ZipFile();
  // First what a reader wants first.
  zip.addBuffer(Buffer.from(manifest), MEMBER.manifest, { ...OPTIONS, compressionLevel: 6 });
  for (const { name, bytes } of documents.sort(byName))
    zip.addBuffer(bytes, name, { ...OPTIONS, compressionLevel: 6 });
  for (const { point } of kept) addCapture(zip, point, captures!);
  zip.end();
  await pipeline(failingWith(zip), createWriteStream(path));
  return { identity, captures: kept.length };
}

/** Captures are stored as they are: noise packs badly, and what is not packed cannot blow up. */
function addCapture(zip: ZipFile, point: number, source: CaptureSource): void {
  zip.addReadStreamLazy(captureMember(point), { ...OPTIONS, compress: false }, (done) => {
    source(point).then(
      (bytes) => done(null, Readable.from([Buffer.from(bytes)])),
      (error: unknown) => done(error, Readable.from([])),
    );
  });
}

/** The archive as a stream that ends with the error of whatever fails while it is made. */
function failingWith(zip: ZipFile): Readable {
  const stream = zip.outputStream as Readable;
  zip.on('error', (error: Error) => stream.destroy(error));
  return stream;
}

const byName = (a: { readonly name: string }, b: { readonly name: string }): number =>
  a.name < b.name ? -1 : 1;
