import { mkdirSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readBundle } from '../../src/bundle/read-bundle.js';
import { writeBundle } from '../../src/bundle/write-bundle.js';
import { findingsOf } from '../../src/record/findings-of.js';
import { QUANTITIES, type QuantityName } from '../../src/record/quantities.js';
import type { DrawnSpectrum } from '../../src/record/run-record.js';
import { openRuns } from '../../src/store/sqlite/sqlite-runs.js';
import { arbitraryRun } from '../store/arbitrary-run.js';
import { inventedRun, type RunContent, recordRun } from '../store/invented-run.js';
import { scratchFile, scratchFolder, thrownBy } from '../store/scratch.js';
import { inventedCapture, membersOf, packedRun, sha256 } from './packed.js';

/** No run was ever at an infinite frequency, load or moment: settings are finite, what came of them need not be. */
function finite({ points, readings, findings, events, ...rest }: RunContent): RunContent {
  const settled = <T extends object>(row: T): T =>
    Object.fromEntries(
      Object.entries(row).map(([key, value]) => [
        key,
        Math.abs(value as number) === Infinity ? 1e308 : value,
      ]),
    ) as T;
  const place = ({ load_ohm }: { readonly load_ohm: number }) => settled({ load_ohm });
  return {
    ...rest,
    points: points.map(settled),
    readings: readings.map((reading) => ({
      ...reading,
      ...place(reading),
      spectrum: reading.spectrum && evened(reading.spectrum),
    })),
    findings: findings.map((finding) => ({ ...finding, setting: settled(finding.setting) })),
    events: events.map(settled),
  };
}

/** A spectrum has a level for each frequency. */
function evened({ frequency_Hz, level_dB }: DrawnSpectrum): DrawnSpectrum {
  const length = Math.min(frequency_Hz.length, level_dB.length);
  return { frequency_Hz: frequency_Hz.slice(0, length), level_dB: level_dB.slice(0, length) };
}

describe('a packed run', () => {
  it('comes out as it went in, but for the file names of its captures', async () => {
    const { bundle, content } = await packedRun();
    const open = await readBundle(bundle);
    const readings = content.record.readings.map((reading) => ({ ...reading, capture: null }));
    expect(open.content).toStrictEqual({ ...content, record: { ...content.record, readings } });
    expect(content.settlings).toHaveLength(6);
    expect(open.carried.map(({ point }) => point)).toEqual([1, 2]);
    expect(Buffer.from(await open.capture(2)).equals(Buffer.from(inventedCapture(2)))).toBe(true);
    open.close();
  });

  it('comes out equal whatever it holds', async () => {
    const store = openRuns(scratchFile(), { mode: 'create' });
    const path = join(scratchFolder(), 'run.ohmest');
    await fc.assert(
      fc.asyncProperty(arbitraryRun, fc.string(), async (drawn, reason) => {
        const content = store.content(recordRun(store, finite(drawn), 'completed', reason));
        await writeBundle(path, content, '0.1.0', null);
        const open = await readBundle(path);
        open.close();
        expect(open.content).toEqual(content);
      }),
      { seed: 20260302, numRuns: 25, endOnFailure: true },
    );
    store.close();
  }, 90_000);

  it('is the same bytes each time', async () => {
    const { bundle, content, database } = await packedRun();
    const store = openRuns(database, { mode: 'read' });
    const again = join(scratchFolder(), 'again.ohmest');
    await writeBundle(again, content, '0.1.0', async (point) => store.capture(1, point));
    store.close();
    expect(sha256(readFileSync(again))).toBe(sha256(readFileSync(bundle)));
  });

  it('is a ZIP file that a person can read, in the order of a list that gives size and hash of everything', async () => {
    const { bundle, content } = await packedRun();
    const members = await membersOf(bundle);
    const names = members.map(({ name }) => name);
    expect(names).toEqual([
      'manifest.json',
      'README.txt',
      'bench.yaml',
      'calibration/001-load-1.yaml',
      'calibration/002-attenuator-1.yaml',
      'run.json',
      'sequence.yaml',
      'spectra/point-00002.json',
      'captures/point-00001.wav',
      'captures/point-00002.wav',
    ]);
    const text = (name: string) => Buffer.from(members.find((one) => one.name === name)!.data).toString();
    expect(text('bench.yaml')).toBe(content.record.bench.text);
    expect(text('README.txt')).toContain('Invented two-channel unit, no. 1');
    const manifest = JSON.parse(text('manifest.json'));
    expect(manifest).toMatchObject({ format_version: 2, made_with: '0.1.0', run: 1 });
    for (const { name, data } of members.slice(1))
      expect(manifest.members).toContainEqual({ name, bytes: data.length, sha256: sha256(data) });
  });

  it('leaves captures out unless asked for them, and says which there were', async () => {
    const { bundle } = await packedRun(inventedRun(), false);
    const open = await readBundle(bundle);
    expect(open.carried).toEqual([]);
    expect(open.content.captures).toHaveLength(2);
    await expect(open.capture(1)).rejects.toMatchObject({ code: 'BUNDLE_ALTERED' });
    open.close();
  });

  it('is not made of a run that goes on', () => {
    const store = openRuns(scratchFile(), { mode: 'create' });
    const writer = store.createRun(inventedRun());
    expect(thrownBy(() => store.content(writer.run))).toMatchObject({ code: 'RUN_BUSY' });
    store.close();
  });
});

describe('what is no bundle', () => {
  it.each([
    ['/dev/zero', /device or pipe/],
    ['nothing-here.ohmest', /no such file/],
  ])('%s is refused at once', async (path, says) => {
    await expect(readBundle(path)).rejects.toMatchObject({
      code: 'NOT_A_BUNDLE',
      message: expect.stringMatching(says),
    });
  });

  it.each([
    ['loop', /a link that leads back to itself/],
    ['plain/below.ohmest', /a file stands where a folder of this name would be/],
    [`${'n'.repeat(300)}.ohmest`, /the name is too long for a file/],
  ])('a path that leads nowhere is refused in words: %.20s', async (name, says) => {
    const folder = scratchFolder();
    symlinkSync('loop', join(folder, 'loop'));
    writeFileSync(join(folder, 'plain'), 'text');
    await expect(readBundle(join(folder, name))).rejects.toMatchObject({
      code: 'NOT_A_BUNDLE',
      message: expect.stringMatching(says),
    });
  });

  it('a folder is refused', async () => {
    const folder = join(scratchFolder(), 'folder.ohmest');
    mkdirSync(folder);
    await expect(readBundle(folder)).rejects.toMatchObject({
      message: expect.stringMatching(/this is a folder/),
    });
  });
});

describe('a finding', () => {
  it.each(Object.keys(QUANTITIES) as QuantityName[])(
    'of %s is packed, and taken in, as it is',
    async (quantity) => {
      const { holds } = QUANTITIES[quantity];
      const value = {
        number: Number.NaN,
        intervals: [[0.5, 2]],
        causes: [{ cause: 'heat', confidence: 0.5, evidence: ['it sank'] }],
      }[holds];
      const content = inventedRun('unit', 1);
      const findings = [{ ...content.findings[0]!, quantity, value }];
      const { bundle } = await packedRun({ ...content, findings }, false);
      const open = await readBundle(bundle);
      expect(findingsOf(open.content.record)).toEqual(findings);
      const store = openRuns(scratchFile(), { mode: 'create' });
      expect(findingsOf(store.run(await store.importRun(open)))).toEqual(findings);
      store.close();
      open.close();
    },
  );
});
