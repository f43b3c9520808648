import { createHash } from 'node:crypto';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { openPromise } from 'yauzl';
import type { RunContent as BundleContent } from '../../src/bundle/content.js';
import { writeBundle } from '../../src/bundle/write-bundle.js';
import { encodeWav } from '../../src/signal/encode-wav.js';
import { openRuns, type SqliteRuns } from '../../src/store/sqlite/sqlite-runs.js';
import { inventedRun, type RunContent } from '../store/invented-run.js';
import { scratchFile, scratchFolder } from '../store/scratch.js';
import { type Member, zipOf } from './zip.js';

export const sha256 = (bytes: Uint8Array | string): string =>
  createHash('sha256').update(bytes).digest('hex');

/** What was kept of a point: a short, invented record of both channels. */
export const inventedCapture = (point: number): Uint8Array =>
  encodeWav({
    rate_Hz: 48_000,
    channels: [1, 2].map((channel) =>
      Float64Array.from({ length: 64 }, (_, i) => Math.sin(i * channel * point) / 2),
    ),
    format: 'float32',
  });

/** Records an invented run with captures of its first two points. */
export function recordWithCaptures(store: SqliteRuns, content: RunContent = inventedRun()): number {
  const writer = store.createRun(content);
  for (const point of content.points) {
    const own = content.readings.filter((reading) => reading.point === point.number);
    writer.append({
      kind: 'point',
      point: point,
      readings: own,
      settlings: own.map((_, i) => ({ settled: true, level: 1e-5 * (i + 1), residue: 0.01 })),
    });
    if (point.number <= 2)
      writer.append({
        kind: 'capture',
        point: point.number,
        bytes: inventedCapture(point.number),
        rate_Hz: 48_000,
        frames: 64,
        channels: [1, 2],
      });
  }
  for (const finding of content.findings) writer.append({ kind: 'finding', finding: finding });
  for (const event of content.events) writer.append({ kind: 'event', event: event });
  writer.append({ kind: 'sample', sample: { at_s: 1, probe: 'heatsink', unit: 'degC', value: 31.5 } });
  writer.append({ kind: 'sample', sample: { at_s: 2, probe: 'heatsink', unit: 'degC', value: null } });
  writer.finish({ outcome: 'stopped', reason: 'THD+N passed 1 %' });
  return writer.run;
}

/** A run in a database of its own, packed. */
export async function packedRun(
  content: RunContent = inventedRun(),
  withCaptures = true,
): Promise<{ readonly bundle: string; readonly database: string; readonly content: BundleContent }> {
  const database = scratchFile();
  const store = openRuns(database, { mode: 'create' });
  const run = recordWithCaptures(store, content);
  const bundle = join(scratchFolder(), 'run.ohmest');
  const whole = store.content(run);
  await writeBundle(bundle, whole, '0.1.0', withCaptures ? async (point) => store.capture(run, point) : null);
  store.close();
  return { bundle, database, content: whole };
}

/** Members of a ZIP file, read by somebody else's program. */
export async function membersOf(path: string): Promise<Member[]> {
  const zip = await openPromise(path);
  const members: Member[] = [];
  for await (const entry of zip.eachEntry()) {
    const parts: Buffer[] = [];
    for await (const part of await zip.openReadStreamPromise(entry)) parts.push(part as Buffer);
    members.push({
      name: entry.fileName,
      data: Buffer.concat(parts),
      packed: entry.compressionMethod === 8,
    });
  }
  return members;
}

/** Puts members into a new file. */
export function bundleOf(members: readonly Member[]): string {
  const path = join(scratchFolder(), 'made-by-hand.ohmest');
  writeFileSync(path, zipOf(members));
  return path;
}

/** The same members, one of them with another content, and a manifest that fits all of them. */
export function withMember(
  members: readonly Member[],
  name: string,
  change: (text: string) => string,
): Member[] {
  const changed = members.map((member) =>
    member.name === name
      ? { ...member, data: Buffer.from(change(Buffer.from(member.data).toString())) }
      : member,
  );
  return relisted(changed);
}

/** The manifest made to fit the members that it travels with. */
export function relisted(members: readonly Member[], identity?: string): Member[] {
  const others = members.filter(({ name }) => name !== 'manifest.json');
  const text = Buffer.from(members.find(({ name }) => name === 'manifest.json')!.data).toString();
  const manifest = {
    ...JSON.parse(text),
    ...(identity === undefined ? {} : { identity }),
    members: others.map(({ name, data }) => ({ name, bytes: data.length, sha256: sha256(data) })),
  };
  return [{ name: 'manifest.json', data: Buffer.from(JSON.stringify(manifest)) }, ...others];
}
