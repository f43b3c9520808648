import { OhmestError } from '../errors/ohmest-error.js';
import { decodeWav } from '../signal/decode-wav.js';
import { Archive } from './archive.js';
import { BundleAltered } from './bundle-errors.js';
import type { RunContent } from './content.js';
import { hashOf, runFrom } from './documents.js';
import { type Listed, readManifest } from './manifest.js';
import { captureMember, isCapture, MEMBER } from './members.js';
import type { PackedCapture } from './run-schema.js';
import { identityOfRun } from './seal.js';

/** A bundle that has been checked: all but the bytes of its captures, which are checked as they are read. */
export interface OpenBundle {
  readonly file: string;
  readonly content: RunContent;
  readonly identity: string;
  /** The captures that it carries, in the order of their points. */
  readonly carried: readonly PackedCapture[];
  /** Bytes of a WAV file, proven to be what the run says. @throws BundleAltered */
  capture(point: number): Promise<Uint8Array>;
  close(): void;
}

/**
 * Opens a bundle and checks it: names, sizes, hashes, every field of every document, and the texts against the run.
 * Nothing is written anywhere.
 *
 * @throws NotABundle, BundleUnsafe, BundleNewer, BundleAltered, BundleInvalid
 */
export async function readBundle(file: string): Promise<OpenBundle> {
  const archive = await Archive.open(file);
  try {
    const manifest = readManifest(textOf(await archive.read(MEMBER.manifest), MEMBER.manifest, file), file);
    requireListed(archive, manifest.members);
    const documents = new Map<string, string>();
    for (const listed of manifest.members)
      if (!isCapture(listed.name)) documents.set(listed.name, await document(archive, listed));
    const { format_version } = manifest;
    const spent = (name: string) => void documents.delete(name);
    const content = runFrom(documents, { file, format_version, spent });
    const identity = identityOfRun(content);
    // Version 0.1 named runs otherwise; that each member is what was packed is told by its own SHA-256.
    if (format_version > 1 && identity !== manifest.identity)
      throw new BundleAltered(file, `${MEMBER.run} is another run than the manifest names`);
    const carried = carriedOf(content.captures, manifest.members, file);
    return {
      file,
      content,
      identity,
      carried,
      capture: (point) => provenCapture(archive, carried, point),
      close: () => archive.close(),
    };
  } catch (error) {
    archive.close();
    throw error;
  }
}

/** The manifest lists what is there, all of it and nothing else. */
function requireListed(archive: Archive, members: readonly Listed[]): void {
  const listed = new Set(members.map(({ name }) => name));
  const stray = archive.names.find((name) => name !== MEMBER.manifest && !listed.has(name));
  if (stray !== undefined) throw new BundleAltered(archive.file, `${stray} is not in the manifest`);
  // By their places: such a name may be anything.
  const missing = members.findIndex(({ name, bytes }) => archive.bytesOf(name) !== bytes);
  if (missing >= 0 || listed.has(MEMBER.manifest))
    throw new BundleAltered(
      archive.file,
      `member ${missing + 1} of the manifest's list is missing or has another size`,
    );
}

async function document(archive: Archive, listed: Listed): Promise<string> {
  const bytes = await archive.read(listed.name);
  requireHash(archive.file, listed, bytes);
  return textOf(bytes, listed.name, archive.file);
}

function requireHash(
  file: string,
  { name, sha256 }: Pick<Listed, 'name' | 'sha256'>,
  bytes: Uint8Array,
): void {
  if (hashOf(bytes) !== sha256)
    throw new BundleAltered(file, `${name} is not what was packed, by its SHA-256`);
}

function textOf(bytes: Uint8Array, name: string, file: string): string {
  try {
    // A byte order mark is part of a text, and of its hash.
    return new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(bytes);
  } catch {
    throw new BundleAltered(file, `${name} is not text in UTF-8`);
  }
}

/** Captures that the bundle carries, each of which must be one that the run tells of, by its hash. */
function carriedOf(
  captures: readonly PackedCapture[],
  members: readonly Listed[],
  file: string,
): PackedCapture[] {
  const listed = new Map(members.filter(({ name }) => isCapture(name)).map((one) => [one.name, one]));
  const carried = captures.filter(({ point, sha256 }) => listed.get(captureMember(point))?.sha256 === sha256);
  if (carried.length < listed.size)
    throw new BundleAltered(file, 'it carries a capture that is not the one of the run');
  return [...carried].sort((a, b) => a.point - b.point);
}

async function provenCapture(
  archive: Archive,
  carried: readonly PackedCapture[],
  point: number,
): Promise<Uint8Array> {
  const capture = carried.find((one) => one.point === point);
  const name = captureMember(point);
  if (!capture) throw new BundleAltered(archive.file, `${name} is missing`);
  const bytes = await archive.read(name);
  requireHash(archive.file, { name, sha256: capture.sha256 }, bytes);
  if (!holds(bytes, capture))
    throw new BundleAltered(archive.file, `${name} does not hold the samples that the run speaks of`);
  return bytes;
}

/** Whether a WAV file has the rate, the channels and the length that the run says. */
function holds(bytes: Uint8Array, { rate_Hz, channels, frames }: PackedCapture): boolean {
  try {
    const wav = decodeWav(bytes);
    return (
      wav.rate_Hz === rate_Hz && wav.channels.length === channels.length && wav.channels[0]!.length === frames
    );
  } catch (error) {
    if (error instanceof OhmestError) return false;
    throw error;
  }
}
