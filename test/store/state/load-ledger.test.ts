import fs, { mkdtempSync, readdirSync, rmSync, utimesSync, writeFileSync } from 'node:fs';
import { syncBuiltinESMExports } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { LoadLedger } from '../../../src/store/state/load-ledger.js';
import { stateFolder } from '../../../src/store/state/state-folder.js';
import { smallBench } from '../../bench/memory-disk.js';

let folder = '';
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'ohmest-state-'));
});
afterEach(() => {
  vi.restoreAllMocks();
  syncBuiltinESMExports();
  rmSync(folder, { recursive: true, force: true });
});

const NOON_ms = Date.parse('2026-03-01T12:00:00Z');
const setup = (more = '') => smallBench({ load: `{nominal: 8 ohm, rating: 20 W, thermal: 300 s${more}}` });
const at = (seconds: number, bench = setup()) =>
  new LoadLedger(folder, bench, () => NOON_ms + 1000 * seconds);
const of8 = (mean_W: number, energy_J = 0) => [{ channel: 1, load_ohm: 8, mean_W, energy_J }];
const read = (seconds: number, bench = setup()) =>
  at(seconds, bench).sharesOf(1, bench.channels[0]!.loads[0]!);
const means = (seconds: number, bench = setup()) =>
  read(seconds, bench)
    .shares.map(({ mean_W }) => mean_W)
    .sort((a, b) => a - b);
const files = () => readdirSync(join(folder, 'loads'));

describe('what runs have put into a load', () => {
  it('is kept with its run, its time and its time constant', () => {
    const time = { from_ms: NOON_ms, until_ms: NOON_ms };
    expect(at(0).keep(of8(18, 1320))).toBeNull();
    expect(read(300)).toEqual({
      shares: [{ bench: 'n', ...time, mean_W: 18, energy_J: 1320, thermal_s: 300 }],
      damage: null,
    });
  });

  it('is kept by each run for itself: two that go on at once do not overwrite each other', () => {
    const [one, other] = [at(0), at(0, smallBench({ load: '{nominal: 8 ohm, rating: 5 W, thermal: 1 s}' }))];
    for (const watts of [1, 2, 3]) {
      one.keep(of8(10 * watts));
      other.keep(of8(watts));
    }
    expect(means(0)).toEqual([3, 30]);
  });

  it('is not lost by another rating or a new measurement, but is of another load under another label', () => {
    at(0).keep(of8(18));
    expect(means(0, setup(', measured: 8.2 ohm'))).toEqual([18]);
    expect(means(0, smallBench({ load: '{nominal: 8 ohm, rating: 500 W}' }))).toEqual([18]);
    expect(means(0, setup(', label: rack B'))).toEqual([]);
  });

  it('is kept in two shares where one load is moved from channel to channel', () => {
    const one = setup(', label: rack');
    const two = { ...one, channels: [1, 2].map((channel) => ({ ...one.channels[0]!, channel })) };
    const given = [1, 2].map((channel) => ({ channel, load_ohm: 8, mean_W: channel, energy_J: 0 }));
    at(0, two).keep(given);
    expect(means(0, one)).toEqual([1, 2]);
  });

  it('counts as of now after a clock was set back, and falls from then on', () => {
    at(0).keep(of8(18));
    expect(read(-86_400).shares[0]!.until_ms).toBe(NOON_ms - 86_400_000);
    expect(read(-86_300).shares[0]!.until_ms).toBe(NOON_ms - 86_400_000);
  });

  it('is read from records of the first form, which held all runs before', () => {
    at(0).keep(of8(1));
    const [name] = files();
    const old = { load: 'channel 1, 8 ohm', bench: 'n', mean_W: 18, energy_J: 5, thermal_s: 300 };
    rmSync(join(folder, 'loads', name!));
    writeFileSync(
      join(folder, 'loads', `${name!.slice(0, 16)}.json`),
      JSON.stringify({ format: 1, ...old, at: new Date(NOON_ms).toISOString() }),
    );
    expect(read(0).shares).toEqual([
      { bench: 'n', from_ms: 0, until_ms: NOON_ms, mean_W: 18, energy_J: 5, thermal_s: 300 },
    ]);
  });

  it.each(['', '{', '[]', '{"format":3}', '{"format":1,"mean_W":-5}', '\0'])(
    'is taken to be the most there can be where a record reads %j',
    (text) => {
      at(0).keep(of8(1));
      const path = join(folder, 'loads', files()[0]!);
      writeFileSync(path, text);
      utimesSync(path, NOON_ms / 1000, NOON_ms / 1000);
      const { shares, damage } = read(300);
      expect(damage).toBe(path);
      expect(shares).toEqual([
        expect.objectContaining({ mean_W: 20, energy_J: 5 * 300 * 20, until_ms: NOON_ms }),
      ]);
    },
  );

  it('is not known without a record', () => expect(read(0)).toEqual({ shares: [], damage: null }));

  it('that cannot be kept is told', () => {
    const blocked = join(folder, 'file');
    writeFileSync(blocked, '');
    expect(new LoadLedger(blocked, setup()).keep(of8(1))).toMatch(
      /cannot be kept in .*loads .*the next run will not know/,
    );
  });

  it('leaves whole records and nothing else, and of those that are long over the newest', () => {
    for (let i = 0; i < 20; i += 1) at(i).keep(of8(i));
    expect(files()).toHaveLength(20);
    for (const name of files()) expect(name).toMatch(/^[0-9a-f]{16}-[0-9a-f]{12}-1\.json$/);
    // The last but one: 18 W e^(-t/300 s) = 1 mW after 2939 s.
    read(18 + 2930);
    expect(files()).toHaveLength(20);
    read(18 + 2945);
    expect(means(2963)).toEqual([19]);
  });

  it('is read where nothing may be removed: records of which nothing is left stay', () => {
    at(0).keep(of8(18));
    at(9000).keep(of8(10));
    const remove = vi.spyOn(fs, 'rmSync').mockImplementation(() => {
      throw Object.assign(new Error('EROFS: read-only file system, unlink'), { code: 'EROFS' });
    });
    syncBuiltinESMExports();
    expect(means(9000)).toEqual([10, 18]);
    expect(remove).toHaveBeenCalledTimes(1);
  });
});

describe('the state folder', () => {
  it('is where each system keeps such things', () => {
    expect(stateFolder({ XDG_STATE_HOME: '/s' }, 'linux', '/home/a')).toBe('/s/ohmest');
    expect(stateFolder({ XDG_STATE_HOME: 's' }, 'linux', '/home/a')).toBe('/home/a/.local/state/ohmest');
    expect(stateFolder({}, 'linux', '/home/a')).toBe('/home/a/.local/state/ohmest');
    expect(stateFolder({}, 'darwin', '/u/a')).toBe('/u/a/Library/Application Support/ohmest');
  });
});
