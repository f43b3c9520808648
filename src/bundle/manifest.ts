import { z } from 'zod';
import { count, name, type Read, sha256 } from '../record/schema/fields.js';
import { BundleInvalid, BundleNewer, NotABundle } from './bundle-errors.js';
import { MOST_MEMBERS } from './limits.js';
import { MEMBER } from './members.js';
import { parseJson } from './parse-json.js';

/** Stands at the head of every manifest. */
const FORMAT = 'ohmest run bundle';
/** Raised when an older program could no longer read what a newer one writes. 1: version 0.1, with results and events in words. */
export const FORMAT_VERSION = 2;

/** A member as the manifest lists it. */
const listed = z.strictObject({ name, bytes: count.max(2 ** 32), sha256 });
export type Listed = Read<typeof listed>;

/** What a bundle says of itself. */
const schema = z.strictObject({
  format: z.literal(FORMAT),
  format_version: z.int().min(1).max(FORMAT_VERSION),
  /** Version of the program that packed it. */
  made_with: name,
  /** Number of the run in the database that it was made into. */
  run: z.int().min(1).max(1e15),
  /** See `identityOf`. */
  identity: sha256,
  /** Every member but the manifest, in the order of names. */
  members: z.array(listed).max(MOST_MEMBERS),
});
type Manifest = Read<typeof schema>;

/** Enough to tell whether the rest can be read at all. */
const head = z.looseObject({ format: z.unknown().optional(), format_version: z.unknown().optional() });

export const manifestText = (about: Omit<Manifest, 'format' | 'format_version'>): string =>
  `${JSON.stringify({ format: FORMAT, format_version: FORMAT_VERSION, ...about }, null, 2)}\n`;

/** @throws NotABundle, BundleNewer, BundleInvalid */
export function readManifest(text: string, file: string): Manifest {
  const { format, format_version } = parseJson(text, head, file, MEMBER.manifest);
  if (format !== FORMAT)
    throw new NotABundle(file, 'this is a ZIP file with a manifest of something else than a run');
  if (typeof format_version === 'number' && format_version > FORMAT_VERSION)
    throw new BundleNewer(file, format_version, FORMAT_VERSION);
  const manifest = parseJson(text, schema, file, MEMBER.manifest);
  const names = manifest.members.map((member) => member.name);
  if (new Set(names).size < names.length)
    throw new BundleInvalid(file, MEMBER.manifest, ['members: one is listed twice']);
  return manifest;
}
