import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type ClaimTerms, NO_TERMS } from '../../../src/judgement/claim/claim.js';
import { parseClaim, parseTerms } from '../../../src/judgement/claim/claim-text.js';
import { claimWords, missingOf } from '../../../src/judgement/claim/claim-words.js';
import { DocumentError } from '../../../src/schema/document-error.js';

const stated = (terms: ClaimTerms) =>
  Object.fromEntries(Object.entries(terms).filter(([, value]) => value !== null));

function faultsOf(text: string) {
  try {
    parseClaim(text);
  } catch (error) {
    if (error instanceof DocumentError)
      return error.faults.map(({ column, what, mend }) => ({ column, what, mend }));
    throw error;
  }
  return [];
}

describe('parseClaim', () => {
  it('reads the plain form, and leaves what is not stated null', () => {
    expect(stated(parseClaim('120 W, 6 ohm, 0.9 %, 1 kHz, 1 channel'))).toEqual({
      power_W: 120,
      load_ohm: 6,
      distortion_percent: 0.9,
      frequency_Hz: [1000, 1000],
      driven: 1,
    });
  });

  it.each<[string, object]>([
    ['100W/ch into 8Ω', { power_W: 100, per: 'channel', load_ohm: 8 }],
    [
      '2 x 50 W RMS, both channels driven',
      { power_W: 50, channels: 2, per: 'channel', kind: 'continuous', driven: 2 },
    ],
    ['50 W x 5, all channels driven', { power_W: 50, channels: 5, per: 'channel', driven: 'all' }],
    ['300 W music power', { power_W: 300, kind: 'music' }],
    ['400 W peak', { power_W: 400, kind: 'peak' }],
    ['150 W dynamic, 20 ms burst', { power_W: 150, kind: 'dynamic', burst_s: 0.02 }],
    ['150 W, burst of 20 ms', { power_W: 150, kind: 'burst', burst_s: 0.02 }],
    ['120 W max', { power_W: 120, kind: 'maximum' }],
    ['120 W, max. 1 % THD', { power_W: 120, distortion_percent: 1, distortion: 'THD' }],
    ['THD 0.05 %, 100 W', { power_W: 100, distortion_percent: 0.05, distortion: 'THD' }],
    ['100 W at -60 dB THD+N', { power_W: 100, distortion_percent: 0.1, distortion: 'THD+N' }],
    [
      '100 W, total harmonic distortion plus noise ≤ 0.1 %',
      { power_W: 100, distortion_percent: 0.1, distortion: 'THD+N' },
    ],
    ['100 W, 20-20000 Hz', { power_W: 100, frequency_Hz: [20, 20_000] }],
    ['100 W from 20 Hz to 20 kHz', { power_W: 100, frequency_Hz: [20, 20_000] }],
    ['100 W, 20 Hz – 20 kHz', { power_W: 100, frequency_Hz: [20, 20_000] }],
    ['250 mW to 100 W', { from_W: 0.25, power_W: 100 }],
    ['240 W total', { power_W: 240, per: 'total' }],
    ['400 W bridged', { power_W: 400, bridged: true }],
    ['100 W, 230 V mains', { power_W: 100, supply: { kind: 'mains', voltage_V: 230, frequency_Hz: null } }],
    [
      '100 W, mains 230 V 50 Hz',
      { power_W: 100, supply: { kind: 'mains', voltage_V: 230, frequency_Hz: 50 } },
    ],
    ['100 W for 5 min', { power_W: 100, duration_s: 300 }],
    ['100 W per IEC 60268-3', { power_W: 100, standard: 'IEC 60268-3' }],
  ])('reads %j', (text, expected) => {
    expect(stated(parseClaim(text))).toEqual(expected);
  });

  /** One clear message each, where it stands and what would be right. */
  it.each<[string, number, string]>([
    ['0 W, 8 ohm', 1, 'no amplifier has a power of 0 W'],
    ['-100 W', 1, 'no amplifier has a power of -100 W'],
    ['100 W, 300 % THD', 8, 'no amplifier has a distortion of 300 %'],
    ['100 W, -4 ohm', 8, 'no amplifier has a load of -4 ohm'],
    ['100 W, 20 kHz to 20 Hz', 8, 'the band runs down, from 20 kHz to 20 Hz'],
    ['100 W, 50 W', 8, "two powers: '100 W' and '50 W'"],
    ['100 W, 8 ohm, 4 ohm', 15, "two loads: '8 ohm' and '4 ohm'"],
    ['100 W, 0.1 %, 1 %', 15, "two distortions: '0.1 %' and '1 %'"],
    ['100 W continuous music', 18, "two sorts of power: 'continuous' and 'music'"],
    ['100 W continuous, 20 ms burst', 19, 'continuous power, and a burst of 20 ms'],
    ['2 x 100 W, 3 channels driven', 12, '3 channels driven of 2'],
    ['100 W, 0 channels', 8, '0 channels cannot be driven'],
    ['200 W to 100 W', 1, 'the powers run down, from 200 W to 100 W'],
    ['100 W, 5000 V mains', 8, 'no mains has 5000 V'],
    ['100 W into eigth ohm', 12, "unknown word 'eigth'"],
    ['100 W, loud', 8, "unknown word 'loud'"],
    ['100 horses', 1, "unknown unit in '100 horses'"],
    ['100 W, 8', 8, "'8' has no unit"],
    ['100 W, ±0.5 dB', 8, "'±0.5 dB' is a tolerance"],
    ['100 W, -3 dB', 8, "'-3 dB' is not a distortion"],
    ['100 W, 230 V', 8, "'230 V' does not say which volts"],
    ['8 ohm, 1 %', 1, "'8 ohm, 1 %' states no power"],
    ['', 1, "'' states no power"],
    ['100 MW', 1, "expected a power such as 50 mW or 100 W, got '100 MW'"],
  ])('%j: at column %d, %s', (text, column, what) => {
    const faults = faultsOf(text);
    expect(faults.map((fault) => [fault.column, fault.what])).toEqual([[column, what]]);
    expect(faults[0]!.mend).not.toBe('');
  });

  it('tells every fault of a line at once', () => {
    expect(faultsOf('100 W, 300 % THD, -4 ohm, 20 kHz to 20 Hz').map(({ column }) => column)).toEqual([
      8, 19, 27,
    ]);
  });

  it('any text gives a claim or one DocumentError', () => {
    const words = fc.constantFrom(
      '100',
      'W',
      'ohm',
      '8',
      '%',
      'THD',
      '-',
      'to',
      '20',
      'Hz',
      'kHz',
      'channel',
      ',',
      '+',
      'x',
      'burst',
      '\u0000',
      '__proto__',
    );
    const text = fc.oneof(
      fc.string({ unit: 'binary' }),
      fc.array(words).map((list) => list.join(' ')),
    );
    fc.assert(
      fc.property(text, (any) => {
        try {
          expect(parseClaim(any).power_W).toBeGreaterThan(0);
        } catch (error) {
          expect(error).toBeInstanceOf(DocumentError);
        }
      }),
      { seed: 5, numRuns: 2000 },
    );
  });
});

describe('parseTerms', () => {
  it('reads conditions without a power', () => {
    expect(stated(parseTerms('8 ohm, 0.1 %, all channels'))).toEqual({
      load_ohm: 8,
      distortion_percent: 0.1,
      driven: 'all',
    });
  });

  it.each([
    ['100 W', 'a power is what comes out'],
    ['', "'' states no condition"],
  ])('refuses %j: %s', (text, what) => {
    expect(() => parseTerms(text)).toThrow(what);
  });
});

const maybe = <T>(value: fc.Arbitrary<T>) => fc.option(value, { nil: null });
const figure = (least: number, most: number) =>
  fc
    .double({ min: Math.log10(least), max: Math.log10(most), noNaN: true })
    .map((x) => Number((10 ** x).toPrecision(4)));

const anyClaim = fc.record({
  power_W: figure(1, 1000),
  load_ohm: maybe(figure(1, 600)),
  distortion_percent: maybe(figure(0.001, 10)),
  distortion: maybe(fc.constantFrom('THD' as const, 'THD+N' as const)),
  frequency_Hz: maybe(fc.constantFrom([1000, 1000] as const, [20, 20_000] as const, [40, 16_000] as const)),
  driven: maybe(fc.constantFrom(1, 2, 'all' as const)),
  per: maybe(fc.constantFrom('channel' as const, 'total' as const)),
  kind: maybe(
    fc.constantFrom(
      'continuous' as const,
      'dynamic' as const,
      'music' as const,
      'peak' as const,
      'maximum' as const,
      'burst' as const,
    ),
  ),
  duration_s: maybe(fc.constantFrom(60, 300)),
  supply: maybe(
    fc.constantFrom(
      { kind: 'mains' as const, voltage_V: 230, frequency_Hz: 50 },
      { kind: 'dc' as const, voltage_V: 14.4, frequency_Hz: null },
    ),
  ),
});

describe('claimWords', () => {
  it('gives a line that reads back as the same claim', () => {
    fc.assert(
      fc.property(anyClaim, (terms) => {
        const claim = { ...NO_TERMS, ...terms };
        expect(parseClaim(claimWords(claim))).toEqual(claim);
      }),
      { seed: 7, numRuns: 1000 },
    );
  });
});

describe('missingOf', () => {
  it('says what a bare power leaves open', () => {
    expect(missingOf(parseClaim('100 W'))).toEqual([
      'no load stated',
      'no distortion stated',
      'no frequency or band stated',
      'not stated how many channels are driven at once',
      'not stated whether the power is that of one channel or of all together',
      'not stated whether the power is continuous',
      'no duration stated',
      'no mains voltage stated',
      'no standard named',
    ]);
  });

  it('says nothing of a claim that states all of it', () => {
    const text =
      '60 W per channel continuous, 8 ohm, THD+N 1 %, 20 Hz to 20 kHz, 2 channels, 5 min, 120 V mains, 16 CFR 432';
    expect(missingOf(parseClaim(text))).toEqual([]);
  });

  it('does not ask whose power it is when one channel is driven', () => {
    const open = missingOf(parseClaim('120 W, 6 ohm, 0.9 %, 1 kHz, 1 channel')).join('; ');
    expect(open).not.toContain('whether the power is that of one channel');
    expect(open).toContain('not stated whether the distortion is THD or THD+N');
  });
});
