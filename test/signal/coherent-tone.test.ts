import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { coherentTone, FrequencyOutOfRange, recordFrames } from '../../src/signal/coherent-tone.js';

describe('coherentTone', () => {
  // Coherent sampling after IEEE 1241/1057; the values are arithmetic from J fs / N.
  it.each([
    [20, 48_000, 65_536, 27, 19.775390625],
    [1_000, 48_000, 65_536, 1365, 999.755859375],
    [1_000, 96_000, 131_072, 1365, 999.755859375],
    [20_000, 192_000, 262_144, 27_307, 20_000.244140625],
  ])(
    '%d Hz at %d takes the odd cycle count nearest to it',
    (nominal_Hz, rate_Hz, minimumFrames, cycles, frequency_Hz) => {
      const tone = coherentTone({ nominal_Hz, rate_Hz, minimumFrames });
      expect(tone).toEqual({ nominal_Hz, rate_Hz, frames: minimumFrames, cycles, frequency_Hz });
    },
  );

  it('chooses the record from frequency and rate', () => {
    expect(recordFrames(1_000, 48_000)).toBe(32_768);
    expect(recordFrames(20, 48_000)).toBe(65_536);
    expect(recordFrames(20, 192_000)).toBe(262_144);
  });

  it('never approaches a band edge from inside, and stays within two bins of the nominal', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 10, max: 20_000, noNaN: true }),
        fc.constantFrom(44_100, 48_000, 96_000, 192_000),
        fc.constantFrom('low', 'high', undefined),
        (nominal_Hz, rate_Hz, edge) => {
          const tone = coherentTone({ nominal_Hz, rate_Hz, ...(edge ? { edge } : {}) });
          const bin_Hz = rate_Hz / tone.frames;
          expect(tone.cycles % 2).toBe(1);
          expect(Math.abs(tone.frequency_Hz - nominal_Hz)).toBeLessThanOrEqual(
            (edge ? 2 : 1) * bin_Hz * (1 + 1e-9),
          );
          if (edge === 'low') expect(tone.frequency_Hz).toBeLessThanOrEqual(nominal_Hz * (1 + 1e-8));
          if (edge === 'high') expect(tone.frequency_Hz).toBeGreaterThanOrEqual(nominal_Hz * (1 - 1e-8));
        },
      ),
    );
  });

  it.each([0, -5, 24_000, Number.NaN, Number.POSITIVE_INFINITY])('refuses %d Hz at 48 kHz', (nominal_Hz) => {
    expect(() => coherentTone({ nominal_Hz, rate_Hz: 48_000 })).toThrow(FrequencyOutOfRange);
  });
});
