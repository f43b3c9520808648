import { describe, expect, it } from 'vitest';
import type { RunFigure } from '../../../src/document/comparison/figures-of-run.js';
import { matchFigures, unlikeness } from '../../../src/document/comparison/match-figures.js';
import { powerFigure } from './placed.js';

const of = (run: number, changes: Parameters<typeof powerFigure>[1] = {}) =>
  powerFigure(90, { run, ...changes });
const runsOf = (rows: readonly (readonly RunFigure[])[]) =>
  rows.map((row) => row.map(({ run, step }) => `${run} ${step}`));

describe('figures of several runs', () => {
  it('of the same setting stand in one row, whatever their steps are called', () => {
    const rows = matchFigures([[of(1)], [of(2, { step: 'up' })], [of(3)]]);
    expect(runsOf(rows)).toEqual([['1 climb-1k', '2 up', '3 climb-1k']]);
    expect(rows[0]!.slice(1).map((figure) => unlikeness(figure, rows[0]![0]!))).toEqual([[], []]);
  });

  it('go to the step of their own name where a run has the setting twice', () => {
    const rows = matchFigures([
      [of(1, { step: 'first' }), of(1)],
      [of(2), of(2, { step: 'first' })],
    ]);
    expect(runsOf(rows)).toEqual([
      ['1 first', '2 first'],
      ['1 climb-1k', '2 climb-1k'],
    ]);
  });

  it('prefer a like setting to an unlike one, and say in what the rest are unlike', () => {
    const rows = matchFigures([
      [of(1), of(1, { load_ohm: 4, driven: [1, 2] })],
      [of(2, { load_ohm: 2, mains_V: 207 }), of(2, { load_ohm: 4, driven: [1, 2] })],
    ]);
    expect(rows.map((row) => row.map(({ load_ohm }) => load_ohm))).toEqual([
      [8, 2],
      [4, 4],
    ]);
    expect(unlikeness(rows[0]![1]!, rows[0]![0]!)).toEqual([
      '2 ohm against 8 ohm',
      '207 V mains against mains as it came',
    ]);
  });

  it('of another threshold, channel or frequency never share a row', () => {
    const others = [{ threshold_percent: 1 }, { channel: 2 }, { band_Hz: [100, 100] as const }];
    for (const other of others) expect(matchFigures([[of(1)], [of(2, other)]])).toHaveLength(2);
  });

  it('of one nominal tone share a row although the benches play it a little apart', () => {
    const [row] = matchFigures([[of(1)], [of(2, { band_Hz: [997, 997] })]]);
    expect(row).toHaveLength(2);
    expect(unlikeness(row![1]!, row![0]!)).toEqual([]);
  });

  it('are unlike by the band that they were measured in, and by what was not found', () => {
    const [row] = matchFigures([[of(1)], [of(2, { measured_Hz: [20, 80_000], missing_Hz: [20, 31.62] })]]);
    expect(unlikeness(row![1]!, row![0]!)).toEqual([
      'measured from 20 Hz to 80 kHz against measured from 20 Hz to 20 kHz',
      'run 2: none found at 20 Hz, 31.5 Hz',
    ]);
  });

  it('of sweeps that held unlike powers are unlike by what was asked for, beyond what setting a level is good for', () => {
    const sweep = (run: number, asked_W: number | null) => of(run, { held: true, step: 'band', asked_W });
    expect(unlikeness(sweep(2, 12.5), sweep(1, 70))).toEqual(['12.5 W requested against 70.0 W requested']);
    expect(unlikeness(sweep(2, 12.5), sweep(1, 12.6))).toEqual([]);
    expect(unlikeness(sweep(2, null), sweep(1, 12.6))).toEqual([]);
  });

  it('that are bounds are unlike values', () => {
    expect(unlikeness(of(2, { finding: { bound: 'at-least' } }), of(1))).toEqual([
      'run 2: a bound, not a value',
    ]);
  });
});
