import { mkdirSync, mkdtempSync, readdirSync, rmSync, utimesSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { LoadLedger, untilCold_s } from '../../../src/store/state/load-ledger.js';
import { stateFolder } from '../../../src/store/state/state-folder.js';
import { smallBench } from '../../bench/memory-disk.js';

let folder = '';
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'ohmest-state-'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const NOON_ms = Date.parse('2026-03-01T12:00:00Z');
const setup = (more = '') => smallBench({ load: `{nominal: 8 ohm, rating: 20 W, thermal: 300 s${more}}` });
const at = (seconds: number, bench = setup()) =>
  new LoadLedger(folder, bench, () => NOON_ms + 1000 * seconds);
const of8 = (mean_W: number, energy_J = 0) => [{ channel: 1, load_ohm: 8, mean_W, energy_J }];
const only = (ledger: LoadLedger) => ledger.read()[0]!;

describe('the warmth of a load from run to run', () => {
  it('falls with its time constant, and with it the energy, until the load is cold', () => {
    expect(at(0).memory([]).keep(of8(18, 1320))).toBeNull();
    expect(only(at(0))).toMatchObject({ mean_W: 18, energy_J: 1320, by: 'n', damage: null });
    // 18 W e^(-1) = 6.62183 W.
    expect(only(at(300)).mean_W).toBeCloseTo(6.62183, 5);
    expect(only(at(300)).energy_J).toBe(1320);
    // 300 s ln(18 / 0.2) = 1349.94 s.
    expect(untilCold_s({ rating_W: 20, thermal_s: 300 }, 18)).toBeCloseTo(1349.94, 2);
    expect(only(at(1349)).mean_W).toBeGreaterThan(0);
    expect(only(at(1351))).toMatchObject({ mean_W: 0, energy_J: 0 });
  });

  it('is not lost by another rating or a new measurement, but is of another load under another label', () => {
    at(0).memory([]).keep(of8(18));
    expect(only(at(0, setup(', measured: 8.2 ohm'))).mean_W).toBe(18);
    expect(only(at(0, smallBench({ load: '{nominal: 8 ohm, rating: 500 W}' }))).mean_W).toBe(18);
    expect(only(at(0, setup(', label: rack B')))).toMatchObject({ mean_W: 0, by: null });
  });

  it('falls by the longer of two time constants where the bench file has another now', () => {
    at(0).memory([]).keep(of8(18));
    const quick = smallBench({ load: '{nominal: 8 ohm, rating: 20 W, thermal: 1 s}' });
    expect(only(at(300, quick)).mean_W).toBeCloseTo(6.62183, 5);
  });

  it('does not fall by a clock that was set back', () => {
    at(0).memory([]).keep(of8(18));
    expect(only(at(-86_400)).mean_W).toBe(18);
  });

  it.each(['', '{', '[]', '{"format":2}', '{"format":1,"mean_W":-5}', '\0'])(
    'of a record that reads %j is that at the rating when the file last changed',
    (text) => {
      at(0).memory([]).keep(of8(1));
      const loads = join(folder, 'loads');
      const [name] = readdirSync(loads);
      writeFileSync(join(loads, name!), text);
      utimesSync(join(loads, name!), NOON_ms / 1000, NOON_ms / 1000);
      const found = only(at(300));
      expect(found.damage).toBe(join(loads, name!));
      // 20 W e^(-1).
      expect(found.mean_W).toBeCloseTo(7.35759, 5);
      expect(found.energy_J).toBe(5 * 300 * 20);
    },
  );

  it('without a record is not known, and says so', () =>
    expect(only(at(0))).toMatchObject({ mean_W: 0, by: null, damage: null }));

  it('that cannot be kept is told', () => {
    const blocked = join(folder, 'file');
    writeFileSync(blocked, '');
    const why = new LoadLedger(blocked, setup()).memory([]).keep(of8(1));
    expect(why).toMatch(/cannot be kept in .*loads .*the next run will not know/);
  });

  it('leaves nothing but whole records', () => {
    mkdirSync(join(folder, 'loads'), { recursive: true });
    for (let i = 0; i < 20; i += 1) at(i).memory([]).keep(of8(i));
    expect(readdirSync(join(folder, 'loads'))).toEqual([expect.stringMatching(/^[0-9a-f]{16}\.json$/)]);
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
