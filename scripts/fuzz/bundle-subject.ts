import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { documentsOf, hashOf } from '../../src/bundle/documents.js';
import { manifestText } from '../../src/bundle/manifest.js';
import { captureMember } from '../../src/bundle/members.js';
import { type OpenBundle, readBundle } from '../../src/bundle/read-bundle.js';
import { identityOfRun } from '../../src/bundle/seal.js';
import type { RunRecord } from '../../src/record/run-record.js';
import { encodeWav } from '../../src/signal/encode-wav.js';
import type { Member } from '../../test/bundle/zip.js';
import { inventedRun } from '../../test/store/invented-run.js';
import { bundleCases } from './bundle-cases.js';
import { requireInputError } from './refusal.js';
import { type Subject, Unsound } from './subject.js';

const FRAMES = 16;

/** Members of a good bundle of an invented run with so many points, a capture with it or not. */
export function goodBundle(points: number, withCapture: boolean): Member[] {
  const { bench, plan, ...run } = inventedRun('Invented unit', points);
  const wav = encodeWav({ rate_Hz: 48_000, channels: [new Float64Array(FRAMES)], format: 'int16' });
  const record: RunRecord = {
    ...run,
    run: 1,
    outcome: 'completed',
    reason: '',
    started: '2026-03-01T10:00:00.000Z',
    ended: '2026-03-01T11:00:00.000Z',
    bench: { name: bench.name, kind: bench.kind, rate_Hz: 48_000, text: bench.text, sha256: bench.sha256 },
    sequence: { name: plan.name, ...plan.sequence },
    calibration: (bench.channels[0]?.records ?? []).map(({ id, kind, text, sha256 }) => ({
      id,
      kind,
      text,
      sha256,
    })),
    claim: '100 W, 8 ohm',
    permit: null,
    sessions: [],
    probes: [{ at_s: 1, probe: 'heatsink', unit: 'degC', value: 31.5 }],
  };
  const captures = withCapture
    ? [{ point: 1, rate_Hz: 48_000, frames: FRAMES, channels: [1], sha256: hashOf(wav) }]
    : [];
  const settlings = [{ point: 1, channel: 1, level: 1e-5, residue: 0.01 }];
  const content = { record, settlings, permits: [], captures };
  const members: Member[] = [...documentsOf(content)].map(([name, text]) => ({
    name,
    data: Buffer.from(text),
  }));
  if (withCapture) members.push({ name: captureMember(1), data: wav });
  const manifest = manifestText({
    made_with: '0.1.0',
    run: 1,
    identity: identityOfRun(content),
    members: members.map(({ name, data }) => ({ name, bytes: data.length, sha256: hashOf(data) })),
  });
  return [{ name: 'manifest.json', data: Buffer.from(manifest) }, ...members];
}

/** Opens a bundle and reads all that it holds, as an import does. */
async function readWhole(file: string): Promise<OpenBundle> {
  const bundle = await readBundle(file);
  try {
    for (const { point } of bundle.carried) await bundle.capture(point);
    return bundle;
  } finally {
    bundle.close();
  }
}

/** The reader of bundles. It reads from a file, which is written before each case and is gone with the process. */
export function bundles(): Subject {
  const folder = mkdtempSync(join(tmpdir(), 'fuzz-bundle-'));
  process.on('exit', () => rmSync(folder, { recursive: true, force: true }));
  const file = join(folder, 'x.ohmest');
  return {
    name: 'bundle',
    cases: bundleCases([goodBundle(1, false), goodBundle(2, true)]),
    read: (input) => {
      writeFileSync(file, input as Uint8Array);
      return readWhole(file);
    },
    checkValue: (value) => {
      const { content, identity } = value as OpenBundle;
      if (identityOfRun(content) !== identity)
        throw new Unsound('the run read has another identity than it says');
    },
    // Its messages quote the file's own words where they fit; none of them is known here.
    checkRefusal: (error, input) => requireInputError(error, Buffer.from(input as Uint8Array).toString()),
  };
}
