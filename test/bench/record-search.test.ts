import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { newest, recordCandidates, recordFolders } from '../../src/bench/record-search.js';
import { readRecord } from '../../src/calibration/record-file.js';
import { recordFileName } from '../../src/calibration/write-record.js';
import { memoryDisk, smallBench, smallComplaint } from './memory-disk.js';

const load = (ohms: number, date?: string) =>
  `kind: load\nchannel: 1\nnominal: 8 ohm\nvalue: ${ohms} ohm\n${date ? `date: ${date}\n` : ''}`;
const named = { load: '{nominal: 8 ohm, record: left}' };
const chosen = (files: Record<string, string>, parts = named, day?: string) => {
  const [chain] = smallBench(parts, files, day).channels;
  return [chain!.loads[0]!.measured_ohm, chain!.records[0]!.id];
};

describe('a record that a bench file names', () => {
  it('is the newest of its family, by the date written inside', () => {
    const files = {
      '/b/calibration/left.yaml': load(8.01, '2026-02-20'),
      '/b/calibration/left-2026-02-27.yaml': load(8.03, '2026-02-27'),
      '/b/calibration/left-2025-12-31.yaml': load(8.02, '2025-12-31'),
      '/b/calibration/left-hand-2026-02-28.yaml': load(9, '2026-02-28'),
    };
    expect(chosen(files)).toEqual([8.03, 'left-2026-02-27']);
    expect(chosen({ ...files, '/b/calibration/left.yaml': load(8.01, '2026-02-28') })).toEqual([
      8.01,
      'left',
    ]);
  });

  it('is any dated one rather than an undated one', () => {
    expect(
      chosen({
        '/b/calibration/left.yaml': load(8.01),
        '/b/calibration/left-1999-01-01.yaml': load(8.02, '1999-01-01'),
      }),
    ).toEqual([8.02, 'left-1999-01-01']);
    expect(chosen({ '/b/calibration/left.yaml': load(8.01) })).toEqual([8.01, 'left']);
  });

  it('is the last of several of one day, counted as numbers', () => {
    const files = Object.fromEntries(
      ['', '-2', '-9', '-10'].map((n, i) => [
        `/b/calibration/left-2026-02-27${n}.yaml`,
        load(8 + i / 100, '2026-02-27'),
      ]),
    );
    expect(chosen(files)).toEqual([8.03, 'left-2026-02-27-10']);
  });

  it('is pinned by its name in full', () => {
    const files = {
      '/b/calibration/left-2026-02-01.yaml': load(8.01, '2026-02-01'),
      '/b/calibration/left-2026-02-01-2.yaml': load(8.02, '2026-02-01'),
      '/b/calibration/left-2026-02-27.yaml': load(8.03, '2026-02-27'),
    };
    const pinned = { load: '{nominal: 8 ohm, record: left-2026-02-01}' };
    expect(chosen(files, pinned)).toEqual([8.01, 'left-2026-02-01']);
  });

  it("comes from the bench's own folder first, then from the shared ones", () => {
    expect(recordFolders('/a/b/bench.yaml')).toEqual([
      '/a/b/calibration/bench',
      '/a/b/calibration',
      '/a/calibration/bench',
      '/a/calibration',
    ]);
    const files: Record<string, string> = {};
    for (const [i, folder] of recordFolders('/b/bench.yaml').reverse().entries()) {
      // The farther folder has the younger record: nearness counts before age.
      files[`${folder}/left-2026-02-0${9 - i}.yaml`] = load(8 + i / 10, `2026-02-0${9 - i}`);
      expect(chosen(files)[0]).toBe(8 + i / 10);
    }
  });

  it('is the same whatever the order in which the disk lists its files', () => {
    const days = ['2026-01-05', '2026-01-05', '2026-01-05', '2026-02-11', '2026-02-11'];
    const taken: string[] = [];
    for (const day of days) taken.push(recordFileName('left', day, taken));
    const family = taken.map((file, i) => readRecord(load(8 + i / 100, days[i]), file, file.slice(0, -5)));
    fc.assert(
      fc.property(fc.shuffledSubarray(family, { minLength: 5 }), (shuffled) => {
        expect(newest(shuffled).record.id).toBe('left-2026-02-11-2');
      }),
      { seed: 1, numRuns: 60 },
    );
  });

  it('is never a file of another name', () => {
    const disk = memoryDisk({
      '/b/calibration/xleft.yaml': '',
      '/b/calibration/left.yml': '',
      '/b/calibration/left-2026-2-1.yaml': '',
      '/b/calibration/left.2026-02-01.yaml': '',
      '/b/calibration/Left-2026-02-01.yaml': '',
    });
    expect(recordCandidates(disk, '/b/bench.yaml', 'left').ids).toEqual([]);
    expect(recordCandidates(disk, '/b/bench.yaml', '.*').ids).toEqual([]);
  });
});

describe('a record that cannot serve', () => {
  const complaint = (text: string, id = 'left') =>
    smallComplaint(named, { [`/b/calibration/${id}.yaml`]: text });

  it.each<[string, string, string, string]>([
    [
      'dated in the future',
      'left-2026-03-02',
      load(8, '2026-03-02'),
      "/b/calibration/left-2026-03-02.yaml:5:7: date: 2026-03-02 lies in the future: today is 2026-03-01; write the day of the calibration, or set the computer's clock",
    ],
    [
      'dated a year ahead by a slip of the hand',
      'left-2026-02-27',
      load(8, '2027-02-27'),
      '/b/calibration/left-2026-02-27.yaml:5:7: date: 2027-02-27 lies in the future: today is 2026-03-01',
    ],
    [
      'of another channel',
      'left',
      load(8).replace('channel: 1', 'channel: 2'),
      '/b/calibration/left.yaml:2:10: channel: it is of channel 2, not of channel 1; name another record, or correct this one',
    ],
    [
      'of another load',
      'left',
      load(4).replace('8 ohm', '4 ohm'),
      '/b/calibration/left.yaml:3:10: nominal: it is of the 4 ohm load, not of the 8 ohm load',
    ],
    [
      'of another kind',
      'left',
      'kind: input\nchannel: 1\nvalue: 2 V rms',
      '/b/calibration/left.yaml:1:7: kind: it is of an input, not of a load',
    ],
    [
      'with another date in its name',
      'left-2026-02-27',
      load(8, '2026-02-26'),
      "/b/calibration/left-2026-02-27.yaml:5:7: date: 2026-02-26 is not the date in the file's name, 2026-02-27; make them the same",
    ],
    [
      'with a date in its name only',
      'left-2026-02-27',
      load(8),
      "the file's name says 2026-02-27, and the record has no date; write the date",
    ],
    [
      'that is no record',
      'left',
      '- 1',
      '/b/calibration/left.yaml:1:1: expected keys with values, got a list',
    ],
  ])('%s is refused in one message', (_, id, text, message) => {
    const found = complaint(text, id);
    expect(found).toContain(`the record '${id}' cannot be used: `);
    expect(found).toContain(message);
    expect(found).toMatch(/^\/b\/bench\.yaml:7:36: channels\[1\]\.load\.record: /);
    expect(found.split('\n')).toHaveLength(1);
  });

  it('spoils its family even when an older one would serve', () => {
    const old = { '/b/calibration/left-2026-02-01.yaml': load(8, '2026-02-01') };
    expect(smallBench(named, old).channels[0]!.loads[0]!.measured_ohm).toBe(8);
    const future = { '/b/calibration/left-2026-03-02.yaml': load(8, '2026-03-02') };
    expect(smallComplaint(named, { ...old, ...future })).toContain('2026-03-02 lies in the future');
  });

  it('is no longer of the future on its own day', () => {
    const files = { '/b/calibration/left-2026-03-02.yaml': load(8, '2026-03-02') };
    expect(chosen(files, named, '2026-03-02')).toEqual([8, 'left-2026-03-02']);
  });
});
