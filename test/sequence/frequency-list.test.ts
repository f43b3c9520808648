import { describe, expect, it } from 'vitest';
import { frequenciesOf } from '../../src/sequence/frequency-list.js';

describe('frequenciesOf', () => {
  it('gives the 31 exact R10 frequencies from 20 Hz to 20 kHz, with the ends exact', () => {
    // Exact values 1000 x 10^(n/10), n = -17..13, to six figures (ISO 266; series idea from ISO 3). The
    // ends are the band's own, 20 Hz and 20 kHz, in place of 19.9526 Hz and 19952.6 Hz.
    const exact = [
      20, 25.1189, 31.6228, 39.8107, 50.1187, 63.0957, 79.4328, 100, 125.893, 158.489, 199.526, 251.189,
      316.228, 398.107, 501.187, 630.957, 794.328, 1000, 1258.93, 1584.89, 1995.26, 2511.89, 3162.28, 3981.07,
      5011.87, 6309.57, 7943.28, 10_000, 12_589.3, 15_848.9, 20_000,
    ];
    const found = frequenciesOf({
      kind: 'band',
      spacing: { kind: 'preferred', perDecade: 10 },
      low_Hz: 20,
      high_Hz: 20_000,
    });
    expect(found).toHaveLength(31);
    expect(found[0]).toBe(20);
    expect(found[30]).toBe(20_000);
    found.forEach((frequency_Hz, i) => {
      expect(Math.abs(frequency_Hz / exact[i]! - 1)).toBeLessThan(5e-6);
    });
  });

  it.each([
    [20, 61],
    [40, 121],
  ])('gives R%d its %d frequencies over three decades', (perDecade, count) => {
    const found = frequenciesOf({
      kind: 'band',
      spacing: { kind: 'preferred', perDecade },
      low_Hz: 20,
      high_Hz: 20_000,
    });
    expect(found).toHaveLength(count);
    const ratios = found.slice(2, -1).map((frequency_Hz, i) => frequency_Hz / found[i + 1]!);
    for (const ratio of ratios) expect(ratio).toBeCloseTo(10 ** (1 / perDecade), 10);
  });

  // Preferred numbers of a decade as ISO 3 rounds them (R10: values seen in public text; R20 and R40: from memory), and by how
  // much the rounding moves the exact 10^(n/N), at worst down and up: 1.25 and 1.6, 1.4 and 1.8, 1.32 and 1.7.
  const R10 = [1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8];
  const R20 = [...R10, 1.12, 1.4, 1.8, 2.24, 2.8, 3.55, 4.5, 5.6, 7.1, 9].sort((a, b) => a - b);
  const R40 = [
    ...R20,
    ...[
      1.06, 1.18, 1.32, 1.5, 1.7, 1.9, 2.12, 2.36, 2.65, 3, 3.35, 3.75, 4.25, 4.75, 5.3, 6, 6.7, 7.5, 8.5,
      9.5,
    ],
  ].sort((a, b) => a - b);

  it.each([
    [10, R10, -0.709, 0.953],
    [20, R20, -0.888, 1.221],
    [40, R40, -1.014, 1.263],
  ])('gives R%d the exact values behind the rounded ones of ISO 3', (perDecade, rounded, down, up) => {
    for (const decade_Hz of [10, 100, 1000, 10_000]) {
      const found = frequenciesOf({
        kind: 'band',
        spacing: { kind: 'preferred', perDecade },
        low_Hz: decade_Hz,
        high_Hz: 10 * decade_Hz,
      });
      expect(found).toHaveLength(perDecade + 1);
      const moved = rounded.map((number, i) => 100 * ((number * decade_Hz) / found[i]! - 1));
      expect(Math.min(...moved)).toBeCloseTo(down, 3);
      expect(Math.max(...moved)).toBeCloseTo(up, 3);
    }
  });

  it('counts octaves up from the lower end', () => {
    const found = frequenciesOf({
      kind: 'band',
      spacing: { kind: 'octave', perOctave: 3 },
      low_Hz: 100,
      high_Hz: 200,
    });
    expect(found.map((frequency_Hz) => Math.round(frequency_Hz * 100) / 100)).toEqual([
      100, 125.99, 158.74, 200,
    ]);
  });

  it('keeps a list as it was written', () => {
    expect(frequenciesOf({ kind: 'list', frequencies_Hz: [1000, 20, 20_000] })).toEqual([1000, 20, 20_000]);
  });
});
