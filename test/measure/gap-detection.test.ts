import { describe, expect, it } from 'vitest';
import { blindLengths, slipOf } from '../../scripts/detection/blind-lengths.js';
import { type CaptureSpec, IDEAL } from '../../scripts/detection/capture-spec.js';
import { damaged, seenAt } from '../../scripts/detection/damage.js';
import { harmOf } from '../../scripts/detection/harm.js';
import { look } from '../../scripts/detection/look.js';
import { renderTimeLine } from '../../scripts/detection/render-capture.js';
import { clickOf, gapOf, tally } from '../../scripts/detection/tally.js';
import { coherentTone } from '../../src/signal/coherent-tone.js';

/*
 * The short form of `npm run detection`, whose figures docs/detection.md holds: invented captures, measured as a run
 * measures them.
 */
const LOUD = { nominal_Hz: 1000, rate_Hz: 48_000, level_dBFS: [-20, 0] } as const;

describe('in a tone of nominal 1 kHz at -20 dBFS or louder', () => {
  it('every gap of 1 to 1000 frames is found, to a few frames', () => {
    const { missed, off_frames } = tally(60, 31, { ...LOUD, nature: IDEAL }, gapOf(1, 1000));
    expect(missed).toEqual([]);
    expect(off_frames).toBeLessThanOrEqual(3);
  }, 120_000);

  it('a single lost or doubled sample is found however distorted, humming and sagging the tone is', () => {
    expect(tally(40, 32, LOUD, gapOf(1, 1)).missed).toEqual([]);
  }, 120_000);

  it('a gap of nearly one cycle is found in a sine', () => {
    expect(tally(20, 33, { ...LOUD, nature: IDEAL }, gapOf(47, 49)).missed).toEqual([]);
  }, 120_000);

  it('a click as high as the tone is found in a sine', () => {
    expect(tally(20, 34, { ...LOUD, nature: IDEAL }, clickOf(0)).missed).toEqual([]);
  }, 120_000);
});

describe('a clean capture', () => {
  it('of any tone, unit, converter and pair of clocks gives no alarm in 60', () => {
    expect(tally(60, 35, { rate_Hz: 48_000 }, null).missed).toEqual([]);
  }, 120_000);
});

describe('a phase that drifts by itself at the beginning of a record', () => {
  // The supply of a unit that clips and is limited in slope sags with 60 ms: the phase follows it along the same curve,
  // by 0.6 mrad a hop of 232 frames at first. No step stands out of that.
  const sagging: CaptureSpec = {
    tone: coherentTone({ nominal_Hz: 207.85349197589613, rate_Hz: 48_000 }),
    level_dBFS: -22.022643880918622,
    noise_dBFS: -105.97314115148038,
    bits: 24,
    clock_ppm: 0,
    phase_rad: 4.286866009290649,
    nature: {
      ...IDEAL,
      overdrive: 1.8156574282069788,
      oneSided: true,
      sag: 0.05310008572414518,
      sag_s: 0.05954413672443479,
      bend: 0.03301537348282328,
      slew: 0.5578438058961183,
    },
    seed: 289_283_409,
  };

  it('is taken for no gap', () => {
    expect(look(sagging, null).gaps).toEqual([]);
  });

  it('hides none', () => {
    for (const at of [700, 900, 1211, 1500, 3000]) {
      const { gaps } = look(sagging, { kind: 'dropped', at, frames: 3 });
      expect(Math.min(...gaps.map(({ frame }) => Math.abs(frame - at)))).toBeLessThan(232);
    }
  });
});

describe('the damage', () => {
  const line = Float64Array.from({ length: 20 }, (_, n) => n);

  it('drops and doubles just the samples it says', () => {
    const dropped = damaged(line, 8, { kind: 'dropped', at: 3, frames: 2 }, 1);
    expect([...dropped]).toEqual([0, 1, 2, 5, 6, 7, 8, 9]);
    const doubled = { kind: 'doubled', at: 3, frames: 2 } as const;
    expect([...damaged(line, 8, doubled, 1)]).toEqual([0, 1, 2, 3, 4, 3, 4, 5]);
    expect(seenAt(doubled)).toBe(5);
  });

  it('changes the level or adds a pulse, and nothing beside it', () => {
    const half = damaged(line, 5, { kind: 'level', at: 2, frames: 2, step_dB: -20 }, 1);
    [0, 1, 0.2, 0.3, 4].forEach((value, n) => void expect(half[n]).toBeCloseTo(value, 12));
    expect([...damaged(line, 4, { kind: 'click', at: 1, frames: 2, height: 0.5 }, 10)]).toEqual([0, 6, 7, 3]);
  });
});

describe('gaps of whole cycles', () => {
  it('are reckoned from the frequency that is really played', () => {
    // 1 kHz at 48 kHz is 683 cycles in 32 768 frames: 47.97657 frames each, so that 48 of them leave 0.02343.
    expect(slipOf(48, 32_768 / 683)).toBeCloseTo(0.023426, 6);
    const { least, period } = blindLengths(1000, 48_000, 0.05);
    expect(period).toBeCloseTo(47.976574, 6);
    expect(least.map(({ frames }) => frames)).toEqual([48, 96]);
  });
});

const TONE = coherentTone({ nominal_Hz: 1000, rate_Hz: 48_000 });
const QUIET: CaptureSpec = {
  tone: TONE,
  level_dBFS: -6,
  noise_dBFS: -160,
  bits: 24,
  clock_ppm: 0,
  phase_rad: 0.3,
  nature: IDEAL,
  seed: 3,
};

describe('a gap of nearly one cycle', () => {
  // A step of phase at the part p of a record, less its least-squares line (the frequency that is fitted), leaves the
  // variance step^2 (q - 3 q^2) with q = p (1 - p): by integration. Small phases are THD+N of the same size.
  it.each([1 / 2, 1 / 4, 0.2113, 0.9])(
    'adds to THD+N what its step of phase leaves, at %d of the record',
    (p) => {
      const step = (2 * Math.PI * slipOf(48, TONE.frames / TONE.cycles) * TONE.cycles) / TONE.frames;
      const q = p * (1 - p);
      const at = Math.round(p * TONE.frames);
      const { thdn_percent, method } = look(QUIET, { kind: 'dropped', at, frames: 48 });
      expect(method).toBe('fitted');
      expect(thdn_percent / (100 * step * Math.sqrt(q - 3 * q * q))).toBeCloseTo(1, 2);
      // The most that it can be, at q = 1/6.
      expect(thdn_percent).toBeLessThan((100 * step) / Math.sqrt(12) + 1e-4);
    },
  );

  it('is missed in few distorted captures, whose readings it leaves as they are', () => {
    const { captures, missed } = tally(60, 37, LOUD, gapOf(48, 48));
    expect(missed.length).toBeLessThan(captures / 10);
    const { added_percent, level_dB } = harmOf(missed);
    // The bound of the check above.
    expect(added_percent).toBeLessThan(0.089);
    expect(level_dB).toBeLessThan(0.001);
  }, 120_000);
});

describe('an invented capture of a distorted wave', () => {
  it('holds no harmonics folded down beside the tone', () => {
    const samples = renderTimeLine({ ...QUIET, nature: { ...IDEAL, crossover: 0.05 } }, TONE.frames);
    const amplitude = (cycles: number) => {
      let [re, im] = [0, 0];
      samples.forEach((x, n) => {
        const angle = (2 * Math.PI * ((cycles * n) % TONE.frames)) / TONE.frames;
        re += x * Math.cos(angle);
        im += x * Math.sin(angle);
      });
      return (2 * Math.hypot(re, im)) / TONE.frames;
    };
    const own = amplitude(TONE.cycles);
    // Those 47 and 49 times the tone lie next to the rate; unfiltered they would be as high as the 45th, some 4e-4.
    for (const order of [47, 49]) {
      const folded = Math.abs(TONE.frames - order * TONE.cycles);
      expect(amplitude(folded) / own).toBeLessThan(2e-5);
      expect(amplitude(folded) / own).toBeGreaterThan(1e-6);
    }
  });
});
