import { createHash } from 'node:crypto';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readBundle } from '../../src/bundle/read-bundle.js';
import { writeBundle } from '../../src/bundle/write-bundle.js';
import { readJournal } from '../../src/store/journal/run-journal.js';
import { rebuild } from '../../src/store/sqlite/rebuild.js';
import { openRuns } from '../../src/store/sqlite/sqlite-runs.js';
import { arbitraryRun } from './arbitrary-run.js';
import { expectedRecord, inventedRun, recordRun } from './invented-run.js';
import { scratchFile, scratchFolder } from './scratch.js';

const SHA256 = /^[0-9a-f]{64}$/;

describe('a run that was stored', () => {
  it('comes back deep-equal from another connection', () => {
    const file = scratchFile();
    const times = ['2026-03-01T10:00:10.000Z', '2026-03-01T10:05:00.000Z'];
    const now = () => new Date(times.shift() ?? 0);
    const writing = openRuns(file, { mode: 'create', now });
    const content = inventedRun();
    const run = recordRun(writing, content, 'stopped', 'THD+N passed 1 %');
    writing.close();

    const reading = openRuns(file, { mode: 'read' });
    expect(reading.run(run)).toStrictEqual({
      ...expectedRecord(content),
      run,
      identity: expect.stringMatching(SHA256),
      outcome: 'stopped',
      reason: 'THD+N passed 1 %',
      started: '2026-03-01T10:00:10.000Z',
      ended: '2026-03-01T10:05:00.000Z',
    });
    reading.close();
  });

  it('comes back equal whatever it holds', () => {
    const instant = '2026-03-01T10:00:10.000Z';
    const store = openRuns(scratchFile(), { mode: 'create', now: () => new Date(instant) });
    const outcomes = fc.constantFrom('completed', 'stopped', 'tripped', 'fault', 'interrupted');
    fc.assert(
      fc.property(arbitraryRun, outcomes, fc.string(), (content, outcome, reason) => {
        const run = recordRun(store, content, outcome as 'completed', reason);
        const identity = expect.stringMatching(SHA256);
        const ending = { run, identity, outcome, reason, started: instant, ended: instant };
        expect(store.run(run)).toEqual({ ...expectedRecord(content), ...ending });
      }),
      { seed: 20260301, numRuns: 80 },
    );
    store.close();
  });

  it('keeps the numbers that SQL and JSON have no sign for', () => {
    const store = openRuns(scratchFile(), { mode: 'create' });
    const content = inventedRun('silent unit', 1);
    const silent = {
      sinad_dB: Number.NaN,
      gain_dB: Number.NEGATIVE_INFINITY,
      crest_factor: Number.POSITIVE_INFINITY,
      thd_percent: null,
    };
    const readings = content.readings.map((reading) => ({ ...reading, ...silent }));
    const finding = {
      ...content.findings[0]!,
      value: Number.NaN,
      uncertainty: Number.NEGATIVE_INFINITY,
    };
    const odd = { ...content, readings, findings: [finding] };
    const record = store.run(recordRun(store, odd, 'completed', ''));
    expect(record.readings).toStrictEqual(readings);
    expect(record.findings).toStrictEqual([finding]);
    store.close();
  });

  it('holds a figure that was told twice both times, in order, rebuilt from its journal and in a bundle, too', async () => {
    const file = scratchFile();
    const store = openRuns(file, { mode: 'create' });
    const [one] = inventedRun().findings;
    const findings = [8, 150, 8].map((value) => ({ ...one!, value }));
    const content = { ...inventedRun(), findings };
    const writer = store.createRun(content);
    for (const finding of findings) writer.append({ kind: 'finding', finding });
    const rebuilt = scratchFile();
    rebuild(readJournal(`${file}.run-${writer.run}.journal`)!, rebuilt);
    writer.finish({ outcome: 'completed', reason: '' });
    const again = openRuns(rebuilt, { mode: 'read' });
    const path = join(scratchFolder(), 'run.ohmest');
    await writeBundle(path, store.content(writer.run), '0.1.0', null);
    const bundle = await readBundle(path);
    bundle.close();
    for (const record of [store.run(writer.run), again.run(1), bundle.content.record])
      expect(record.findings).toStrictEqual(findings);
    again.close();
    store.close();
  });

  it('shares bench, sequence, unit and calibration texts with earlier runs that used the same', () => {
    const store = openRuns(scratchFile(), { mode: 'create' });
    const first = recordRun(store, inventedRun(), 'completed', '');
    const again = recordRun(store, inventedRun(), 'completed', '');
    const other = inventedRun();
    const text = 'name: invented bench # moved\n';
    const sha256 = createHash('sha256').update(text).digest('hex');
    const changed = { ...other, bench: { ...other.bench, text, sha256 } };
    const third = recordRun(store, changed, 'completed', '');
    expect(store.run(again)).toMatchObject(expectedRecord(inventedRun()));
    expect(store.run(third).bench.text).toBe(text);
    expect(store.run(first).bench.text).toBe('name: invented bench\n');
    store.close();
  });
});
