import { createHash } from 'node:crypto';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { identityOfRun } from '../../src/bundle/seal.js';
import { QUANTITIES, type QuantityName } from '../../src/record/quantities.js';
import type { Permit } from '../../src/record/run-record.js';
import type { RunStore } from '../../src/store/contract/run-store.js';
import type { RunWriter } from '../../src/store/contract/run-writer.js';
import { expectedRecord, inventedRun, type RunContent } from './invented-run.js';

const permit: Permit = {
  id: 'p-1',
  sequence: 'rated power',
  sequence_sha256: 'a'.repeat(64),
  bench: 'invented bench',
  bench_fingerprint: 'b'.repeat(64),
  claim: null,
  by: 'An Operator',
  signed: '2026-03-01T09:00:00.000Z',
  expires: '2026-03-02T09:00:00.000Z',
  worst: { power_W: 200 },
  checklist: [],
};

async function written(writer: RunWriter, { points, readings, findings, events }: RunContent) {
  for (const point of points) {
    const own = readings.filter((reading) => reading.point === point.number);
    const settlings = own.map((_, i) => ({ level: 1e-5 * (i + 1), residue: 0.01 }));
    await writer.append({ kind: 'point', point, readings: own, settlings });
  }
  for (const finding of findings) await writer.append({ kind: 'finding', finding });
  for (const event of events) await writer.append({ kind: 'event', event });
}

const code = (expected: string) => ({ code: expected });

/** What every store of runs must do. `open` gives an empty one. */
export function storeContract(name: string, open: () => Promise<RunStore>): void {
  describe(`the store of runs in ${name}`, () => {
    let store: RunStore;
    beforeEach(async () => {
      store = await open();
    });
    afterEach(() => store.close());

    /** A run that has ended. */
    async function stored(content: RunContent, outcome: 'completed' | 'stopped' = 'completed') {
      const writer = await store.begin(content);
      await written(writer, content);
      await writer.finish({ outcome, reason: 'enough' });
      return writer.run;
    }

    it('gives back a run as it was recorded', async () => {
      const content = inventedRun();
      const writer = await store.begin(content);
      expect(await store.run(writer.run)).toMatchObject({ outcome: 'running', ended: null, points: [] });
      await written(writer, content);
      await writer.append({
        kind: 'sample',
        sample: { at_s: 1, probe: 'heatsink', unit: 'degC', value: null },
      });
      await writer.finish({ outcome: 'stopped', reason: 'enough' });
      expect(await store.run(writer.run)).toMatchObject({
        ...expectedRecord(content),
        probes: [{ at_s: 1, probe: 'heatsink', unit: 'degC', value: null }],
        outcome: 'stopped',
        reason: 'enough',
      });
      const bare = await store.run(writer.run, { harmonics: false, spectra: false });
      expect(bare.readings.every(({ harmonics, spectrum }) => harmonics.length === 0 && !spectrum)).toBe(
        true,
      );
    });

    it('keeps the first end, and takes nothing after it', async () => {
      const content = inventedRun();
      const writer = await store.begin(content);
      await writer.finish({ outcome: 'tripped', reason: 'DC at the load' });
      await writer.finish({ outcome: 'completed', reason: '' });
      await expect(written(writer, content)).rejects.toThrow('is closed');
      expect(await store.run(writer.run)).toMatchObject({ outcome: 'tripped', reason: 'DC at the load' });
    });

    it.each(Object.keys(QUANTITIES) as QuantityName[])('keeps a finding of %s', async (quantity) => {
      const [one] = inventedRun().findings;
      const { holds } = QUANTITIES[quantity];
      const value = { number: 1.25, intervals: [[1, 2]], causes: [] }[holds];
      const finding = { ...one!, quantity, value };
      const writer = await store.begin(inventedRun());
      await writer.append({ kind: 'finding', finding });
      await writer.finish({ outcome: 'completed', reason: '' });
      expect((await store.run(writer.run)).findings).toEqual([finding]);
    });

    it('lets a run be resumed that has not come to its end, and no other', async () => {
      const run = await stored(inventedRun(), 'stopped');
      const resumption = { at_s: 9, first_point: 4, checklist: [] };
      const writer = await store.resume(run, resumption);
      await expect(store.resume(run, resumption)).rejects.toMatchObject(code('RUN_BUSY'));
      await writer.finish({ outcome: 'completed', reason: '' });
      expect((await store.run(run)).sessions).toMatchObject([
        { number: 2, at_s: 9, first_point: 4, before: 'stopped: enough' },
      ]);
      await expect(store.resume(run, resumption)).rejects.toMatchObject(code('RUN_COMPLETE'));
      await expect(store.resume(99, resumption)).rejects.toMatchObject(code('RUN_NOT_FOUND'));
    });

    it('lists and finds runs, newest first', async () => {
      for (const label of ['Left', 'Right', 'Left']) await stored(inventedRun(label));
      expect((await store.runs()).map(({ run }) => run)).toEqual([3, 2, 1]);
      expect((await store.runs({ unit: 'Left', limit: 1 })).map(({ run }) => run)).toEqual([3]);
      const found = await store.search({ unit: 'Left', text: 'RATED' }, { limit: 1, offset: 1 });
      expect(found).toMatchObject({ total: 2, runs: [{ run: 1, points: 3, imported_from: null }] });
      expect((await store.search({ outcome: 'fault' }, { limit: 9, offset: 0 })).total).toBe(0);
      expect(await store.names()).toEqual({
        units: ['Left', 'Right'],
        sequences: ['rated power'],
        benches: ['invented bench'],
      });
    });

    it('keeps samples, and says when there are none', async () => {
      const content = inventedRun('unit', 1);
      const writer = await store.begin({ ...content, keepsCaptures: true });
      await written(writer, content);
      const bytes = Buffer.from('invented samples');
      const meta = { rate_Hz: 48_000, frames: 4, channels: [1] };
      await writer.append({ kind: 'capture', point: 1, bytes, ...meta });
      await writer.finish({ outcome: 'completed', reason: '' });
      const sha256 = createHash('sha256').update(bytes).digest('hex');
      expect(await store.captures(writer.run)).toMatchObject([{ point: 1, ...meta, sha256 }]);
      expect(Buffer.from(await store.capture(writer.run, 1)).toString()).toBe('invented samples');
      await expect(store.capture(writer.run, 2)).rejects.toMatchObject(code('CAPTURE_MISSING'));
      const named = (await store.run(writer.run)).readings.map(({ capture }) => capture !== null);
      expect(named).toEqual([true, false]);
    });

    it('tells how readings had settled', async () => {
      const run = await stored(inventedRun('unit', 1));
      expect(await store.settlings(run, 'climb-1k')).toEqual([
        { point: 1, channel: 1, settling: { settled: true, level: 1e-5, residue: 0.01 } },
        { point: 1, channel: 2, settling: { settled: true, level: 2e-5, residue: 0.01 } },
      ]);
      expect(await store.settlings(run, 'band')).toEqual([]);
    });

    it('takes in a run from elsewhere, once', async () => {
      const away = await open();
      const writer = await away.begin(inventedRun());
      await written(writer, inventedRun());
      await expect(away.content(writer.run)).rejects.toMatchObject(code('RUN_BUSY'));
      await writer.finish({ outcome: 'completed', reason: '' });
      const content = await away.content(writer.run);
      const identity = identityOfRun(content);
      expect(content.record.identity).toBe(identity);
      const incoming = { content, identity, carried: [], capture: () => Promise.reject(new Error('none')) };
      await stored(inventedRun('own'));
      const run = await store.importRun(incoming);
      expect(await store.run(run)).toMatchObject({ run: 2, origin: { run: 1, identity } });
      expect((await store.run(run)).identity).toBe(identity);
      expect(identityOfRun(await store.content(run))).toBe(identity);
      await expect(store.importRun(incoming)).rejects.toMatchObject(code('RUN_PRESENT'));
      await expect(store.resume(run, { at_s: 0, first_point: 1, checklist: [] })).rejects.toMatchObject(
        code('RUN_IMPORTED'),
      );
      await away.close();
    });

    it('files permits with the run that used each', async () => {
      await store.sign(permit);
      await store.sign({ ...permit, id: 'p-2', signed: '2026-03-01T10:00:00.000Z' });
      const writer = await store.begin({ ...inventedRun(), permit: 'p-1' });
      await writer.finish({ outcome: 'completed', reason: '' });
      expect((await store.permits()).map((filed) => [filed.permit.id, filed.run])).toEqual([
        ['p-2', null],
        ['p-1', 1],
      ]);
      expect((await store.run(1)).permit).toEqual(permit);
    });

    it('takes nothing more once it is closed', async () => {
      const writer = await store.begin(inventedRun());
      await store.close();
      await expect(writer.append({ kind: 'event', event: inventedRun().events[0]! })).rejects.toThrow();
    });
  });
}
