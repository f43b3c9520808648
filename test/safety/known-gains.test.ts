import { describe, expect, it } from 'vitest';
import { KnownGains } from '../../src/safety/known-gains.js';
import { coherentTone } from '../../src/signal/coherent-tone.js';
import { steady, twoTone } from '../../src/signal/stimulus.js';

const dB = (value: number) => 10 ** (value / 20);

/** A tone of exactly that frequency, as far as gains are concerned. */
const exactly = (frequency_Hz: number) => ({
  ...coherentTone({ nominal_Hz: frequency_Hz, rate_Hz: 48_000 }),
  frequency_Hz,
});
const tone = (frequency_Hz: number) => steady(exactly(frequency_Hz));

/** What is known after readings of channel 1 at 1 kHz: levels in dB, gains as they are. */
function knowing(
  ...shown: { level_dB: number; gain: number; clean?: boolean; frequency_Hz?: number }[]
): KnownGains {
  const known = new KnownGains();
  for (const { level_dB, gain, clean = true, frequency_Hz = 1000 } of shown)
    known.learn({ channel: 1, frequency_Hz, peak: dB(level_dB), gain, clean });
  return known;
}

describe('The gain that a channel is known to give', () => {
  it('is the least that it has shown at this level or a lower one', () => {
    const known = knowing(
      { level_dB: -60, gain: 40 },
      { level_dB: -20, gain: 38 },
      { level_dB: -3, gain: 30 },
    );
    expect(known.atLeast(1, tone(1000), dB(-3))).toBe(30);
    expect(known.atLeast(1, tone(1000), dB(-20))).toBe(38);
    expect(known.atLeast(1, tone(1000), dB(-45))).toBe(40);
  });

  it('holds for a level up to 10 dB lower when there was little but the tone, and else for no lower one', () => {
    expect(knowing({ level_dB: -40, gain: 40 }).atLeast(1, tone(1000), dB(-50))).toBe(40);
    expect(knowing({ level_dB: -40, gain: 40 }).atLeast(1, tone(1000), dB(-50.1))).toBeNull();
    const swallowing = knowing({ level_dB: -40, gain: 40, clean: false });
    expect(swallowing.atLeast(1, tone(1000), dB(-40))).toBe(40);
    expect(swallowing.atLeast(1, tone(1000), dB(-41))).toBeNull();
  });

  it('is at most what it has shown without much distortion at this level or a higher one', () => {
    const known = knowing(
      { level_dB: -60, gain: 0.1 },
      { level_dB: -20, gain: 40 },
      { level_dB: -10, gain: 38 },
      { level_dB: -3, gain: 50, clean: false },
    );
    expect([-70, -15, -9].map((level_dB) => known.atMost(1, tone(1000), dB(level_dB)))).toEqual([
      40,
      38,
      null,
    ]);
  });

  it('is the least and the most of several readings of one level', () => {
    for (const gains of [
      [40, 38, 39],
      [38, 40, 39],
    ]) {
      const known = knowing(...gains.map((gain) => ({ level_dB: -20, gain })));
      expect([known.atLeast(1, tone(1000), dB(-20)), known.atMost(1, tone(1000), dB(-20))]).toEqual([38, 40]);
    }
  });

  it('is kept apart by level, tone and whether there was little but the tone', () => {
    const levels = knowing({ level_dB: -20, gain: 40 }, { level_dB: -2, gain: 30 });
    expect(levels.atLeast(1, tone(1000), dB(-20))).toBe(40);
    const close = [-20, -18.5].map((level_dB) => ({
      level_dB,
      gain: level_dB === -20 ? 40 : 30,
      clean: false,
    }));
    expect(knowing(...close).atLeast(1, tone(1000), dB(-20))).toBe(40);
    const tones = knowing({ level_dB: -20, gain: 40 }, { level_dB: -20, gain: 30, frequency_Hz: 1500 });
    expect(tones.atLeast(1, tone(2500), dB(-20))).toBe(30);
    const distorted = knowing({ level_dB: -20, gain: 40 }, { level_dB: -20, gain: 30, clean: false });
    expect(distorted.atLeast(1, tone(1000), dB(-25))).toBe(40);
  });

  it('says nothing of other channels, nor of tones further away than an octave', () => {
    const known = knowing({ level_dB: -40, gain: 40 });
    expect(known.atLeast(2, tone(1000), 1)).toBeNull();
    expect([499, 500, 2000, 2001].map((frequency_Hz) => known.atLeast(1, tone(frequency_Hz), 1))).toEqual([
      null,
      40,
      40,
      null,
    ]);
  });

  it('is that of its lines for two lines, whose powers add up, and unknown unless that of both is known', () => {
    const known = knowing({ level_dB: -20, gain: 40 }, { level_dB: -20, gain: 30, frequency_Hz: 7000 });
    const both = twoTone(exactly(1000), exactly(7000), [4, 1]);
    // sqrt((0.8 * 40)^2 + (0.2 * 30)^2) = sqrt(1024 + 36).
    expect(known.atLeast(1, both, dB(-20))).toBeCloseTo(Math.sqrt(1060), 12);
    expect(known.atMost(1, both, dB(-20))).toBeCloseTo(Math.sqrt(1060), 12);
    expect(known.atLeast(1, twoTone(exactly(1000), exactly(70), [4, 1]), dB(-20))).toBeNull();
  });

  it('holds for a level half a decibel higher at most, and is unknown where nothing plays', () => {
    const known = knowing({ level_dB: -0.5, gain: 40 });
    expect([0, 0.1].map((level_dB) => known.atMost(1, tone(1000), dB(level_dB)))).toEqual([40, null]);
    const silence = { ...tone(1000), lines: [] };
    expect([known.atLeast(1, silence, 1), known.atMost(1, silence, 1)]).toEqual([null, null]);
  });

  it('is forgotten when somebody has changed something', () => {
    const known = knowing({ level_dB: -40, gain: 40 });
    known.forget();
    expect(known.atLeast(1, tone(1000), 1)).toBeNull();
  });

  it('is not learned from a channel that gave nothing, or was not played', () => {
    const known = knowing({ level_dB: -40, gain: 0 }, { level_dB: Number.NEGATIVE_INFINITY, gain: 40 });
    expect(known.atLeast(1, tone(1000), 1)).toBeNull();
  });
});
