import { describe, expect, it } from 'vitest';
import type { Point, Reading } from '../../../src/record/run-record.js';
import { AsBefore } from '../../../src/runner/memory/as-before.js';

interface Given {
  readonly step?: string;
  readonly kind?: Point['stepKind'];
  readonly frequency_Hz?: number;
  readonly drive_dB?: number;
  readonly gain_dB?: number;
  readonly noise_V?: number;
  readonly thdn_percent?: number;
  readonly channel?: number;
  readonly band_Hz?: Reading['band_Hz'];
  readonly flags?: Reading['flags'];
}

/** Whether each of these readings, taken one after the other, is flagged. */
function flagged(readings: readonly Given[], asBefore = new AsBefore()): boolean[] {
  return readings.map(
    ({ step = 'a', kind = 'sweep', frequency_Hz = 1000, drive_dB = 0, gain_dB = 26, ...given }) => {
      const point = {
        step,
        stepKind: kind,
        nominal_Hz: frequency_Hz,
        load_ohm: 8,
        driven: [1, 2],
        mains_V: null,
      };
      const reading = {
        channel: 1,
        step,
        gain_dB,
        fundamental_V: 10 ** ((drive_dB + gain_dB) / 20),
        noise_V: 1e-4,
        band_Hz: [20, 20_000],
        thdn_percent: 0.01,
        flags: [],
        ...given,
      };
      const { flags } = asBefore.judged(point as unknown as Point, reading as unknown as Reading);
      return flags.includes('not-as-before');
    },
  );
}

describe('A reading differs from what the same setting gave before', () => {
  it('by more than 0.3 dB of gain at any level, as long as the unit is far from clipping', () => {
    expect(flagged([{}, { drive_dB: 10, gain_dB: 26.29 }])).toEqual([false, false]);
    expect(flagged([{}, { drive_dB: 10, gain_dB: 26.31 }])).toEqual([false, true]);
    expect(flagged([{}, { drive_dB: 10, gain_dB: 25.69 }])).toEqual([false, true]);
    expect(flagged([{}, { drive_dB: 10, gain_dB: 25, thdn_percent: 0.6 }])).toEqual([false, false]);
  });

  it('but not by clipping whose harmonics lie outside the band, except at the same drive', () => {
    // 20 kHz at 48 kHz: a stateless clipper reads clean and falls behind the drive.
    const unseen = { frequency_Hz: 20_000, flags: ['harmonics-out-of-band'] as const };
    const clips = { ...unseen, drive_dB: 2, gain_dB: 25 };
    expect(flagged([unseen, clips, { ...unseen, drive_dB: 1, gain_dB: 25.6 }])).toEqual([
      false,
      false,
      false,
    ]);
    expect(flagged([unseen, clips, clips, { ...clips, gain_dB: 24.6 }])).toEqual([false, false, false, true]);
    expect(flagged([unseen, clips, { ...unseen, gain_dB: 25.5 }])).toEqual([false, false, true]);
  });

  it('by more than 6 dB of noise at no more drive', () => {
    expect(flagged([{}, { noise_V: 1.99e-4 }])).toEqual([false, false]);
    expect(flagged([{}, { noise_V: 2.01e-4 }])).toEqual([false, true]);
    expect(flagged([{}, { drive_dB: -20, noise_V: 2.01e-4 }])).toEqual([false, true]);
    // A unit that begins to clip on a rippling supply: 30 dB within 0.2 dB of drive.
    expect(flagged([{}, { drive_dB: 0.2, noise_V: 3e-3 }])).toEqual([false, false]);
  });

  it('but not by the noise of a wider band', () => {
    const wide = { band_Hz: [20, 96_000] as const, noise_V: 3e-4 };
    expect(flagged([{}, wide, { ...wide, noise_V: 6.1e-4 }])).toEqual([false, false, true]);
  });

  it('by more than 1 dB less from more drive, even where it clips', () => {
    const clipping = { drive_dB: 3, thdn_percent: 5 };
    expect(flagged([{}, { ...clipping, gain_dB: 22.1 }])).toEqual([false, false]);
    expect(flagged([{}, { ...clipping, gain_dB: 21.9 }])).toEqual([false, true]);
  });

  it('by a sudden step in a hold that is far more than it has moved before', () => {
    const hold = (...gains_dB: number[]) => gains_dB.map((gain_dB): Given => ({ kind: 'hold', gain_dB }));
    expect(flagged(hold(26, 26.001, 26, 26.033, 26.033))).toEqual([false, false, false, true, true]);
    expect(flagged(hold(26, 26.001, 26, 26.019))).toEqual([false, false, false, false]);
    // One that becomes warm drifts by as much from capture to capture.
    expect(flagged(hold(26, 25.98, 25.95, 25.91, 25.87, 25.83))).toEqual(Array(6).fill(false));
  });

  it('but not by the drift of a unit that warms up in a hold, once a further capture shows it to be one', () => {
    const warming = [0, 1, 2, 3, 4, 5, 6, 7].map((i) => ({
      ...{ kind: 'hold' as const, step: 'h' },
      gain_dB: 26 - 0.2 * (1 - Math.exp(-i / 2)),
    }));
    expect(flagged(warming)).toEqual([false, true, false, false, false, false, false, false]);
    const opened = [26, 26.06, 26.06, 26.06].map((gain_dB) => ({
      kind: 'hold' as const,
      step: 'h',
      gain_dB,
    }));
    expect(flagged(opened)).toEqual([false, true, true, true]);
  });

  it('not by the gain of a unit that leaks at a low level and wakes up with a higher one', () => {
    const leaking = { drive_dB: -20, gain_dB: -28 };
    expect(flagged([leaking, { drive_dB: -10 }, {}, { drive_dB: -9 }, leaking])).toEqual(
      Array(5).fill(false),
    );
  });

  it('not where nothing like it was played, and not on the other channel', () => {
    expect(flagged([{}, { frequency_Hz: 2000, gain_dB: 20 }, { channel: 2, gain_dB: 20 }])).toEqual([
      false,
      false,
      false,
    ]);
  });
});

describe('A channel that has changed', () => {
  it('is flagged at every setting, until the same setting gives again what it gave', () => {
    const changed: Given[] = [
      {},
      { gain_dB: 20 },
      { frequency_Hz: 2000, gain_dB: 20 },
      { frequency_Hz: 500, drive_dB: 20, gain_dB: 20 },
      { gain_dB: 26.01 },
      { frequency_Hz: 100, gain_dB: 26 },
    ];
    expect(flagged(changed)).toEqual([false, true, true, true, false, false]);
  });

  it('by little is not taken to be back where the difference would be allowed', () => {
    const opened = [26, 26, 26, 26.033].map((gain_dB): Given => ({ kind: 'hold', gain_dB }));
    const later: Given = { step: 'b', drive_dB: -5, gain_dB: 26.033 };
    const back: Given = { step: 'b', drive_dB: -5, gain_dB: 26.005 };
    expect(flagged([...opened, later, back, back])).toEqual([false, false, false, true, true, false, false]);
  });

  it('is known no more once somebody has changed something', () => {
    const asBefore = new AsBefore();
    expect(flagged([{}, { gain_dB: 20 }], asBefore)).toEqual([false, true]);
    asBefore.forget();
    expect(flagged([{ gain_dB: 20 }, { frequency_Hz: 2000, gain_dB: 20 }], asBefore)).toEqual([false, false]);
  });
});
