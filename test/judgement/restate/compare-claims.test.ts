import { describe, expect, it } from 'vitest';
import { parseClaim } from '../../../src/judgement/claim/claim-text.js';
import { compareClaims } from '../../../src/judgement/restate/compare-claims.js';

const FULL = '8 ohm, 1 % THD+N, 20 Hz to 20 kHz, 2 channels';
const compared = (first: string, second: string) => compareClaims(parseClaim(first), parseClaim(second));

describe('compareClaims', () => {
  it('gives the decibels between two claims that state the same conditions', () => {
    expect(compared(`100 W, ${FULL}`, `200 W, ${FULL}`)).toMatchObject({
      state: 'as-stated',
      kind: 'exact',
      reasons: [],
    });
    // 10 log10 of 2.
    expect(compared(`100 W, ${FULL}`, `200 W, ${FULL}`).difference_dB).toBeCloseTo(3.0103, 5);
  });

  it('restates another load first, and says that it did', () => {
    const found = compared('120 W, 6 ohm, 1 %, 1 kHz, 1 channel', '90 W, 8 ohm, 1 %, 1 kHz, 1 channel');
    expect(found).toMatchObject({
      state: 'restated',
      kind: 'upper-bound',
      reasons: ['another load: 6 ohm and 8 ohm'],
    });
    expect(found.difference_dB).toBeCloseTo(0, 12);
  });

  it('gives a range where the distortions differ', () => {
    const found = compared('100 W, 8 ohm, 1 %, 1 kHz, 1 channel', '100 W, 8 ohm, 0.1 %, 1 kHz, 1 channel');
    expect(found.kind).toBe('estimate');
    // 0.1653 dB and 9.6539 dB from 0.1 % to 1 %: ideal clipper with 20 harmonics, cubic curve.
    expect(found.range_dB![0]).toBeCloseTo(0.1653, 4);
    expect(found.range_dB![1]).toBeCloseTo(9.6539, 4);
  });

  it.each<[string, string, string]>([
    ['100 W, 8 ohm', `100 W, ${FULL}`, 'the first does not state the distortion'],
    [`100 W, ${FULL}`, '100 W, 1 %, 1 kHz, 2 channels', 'the second does not state the load'],
    ['100 W', '100 W', 'neither states the load'],
    [`100 W, ${FULL}`, `100 W music, ${FULL}`, 'another sort of power: continuous and music'],
    [`100 W, ${FULL}`, `100 W total, ${FULL}`, 'one is the power of one channel, the other of all together'],
    [
      `100 W, ${FULL}`,
      '100 W, 8 ohm, 1 % THD, 20 Hz to 20 kHz, 2 channels',
      'one states THD, the other THD+N, which also counts noise',
    ],
    [
      `100 W, ${FULL}`,
      '100 W, 8 ohm, 1 %, 1 kHz, 2 channels',
      'another frequency: 20 Hz to 20 kHz and 1 kHz',
    ],
    [
      '100 W, 8 ohm, 1 %, 1 kHz, 1 channel',
      '100 W, 8 ohm, 1 %, 1 kHz, all channels',
      'another number of channels driven: 1 channel driven and all channels driven',
    ],
    [
      `100 W, ${FULL}, 14.4 V supply`,
      `100 W, ${FULL}`,
      'one is for a direct-voltage supply, the other for mains',
    ],
  ])('%j and %j cannot be compared: %s', (first, second, reason) => {
    const found = compared(first, second);
    expect(found).toMatchObject({ state: 'not-comparable', difference_dB: null, range_dB: null });
    expect(found.reasons).toContain(reason);
  });

  it('gives the same from either side, with the other sign', () => {
    const claims = [
      `120 W, 6 ohm, 1 % THD+N, 20 Hz to 20 kHz, 2 channels`,
      `100 W, ${FULL}`,
      '100 W, 8 ohm, 0.1 %, 20 Hz to 20 kHz, 2 channels',
      '100 W, 8 ohm, 1 %, 1 kHz, 1 channel',
    ];
    for (const first of claims)
      for (const second of claims) {
        const [there, back] = [compared(first, second), compared(second, first)];
        expect(there.state).toBe(back.state);
        expect((there.difference_dB ?? 0) + (back.difference_dB ?? 0)).toBeCloseTo(0, 12);
      }
  });
});
