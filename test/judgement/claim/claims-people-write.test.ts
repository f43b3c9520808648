import { describe, expect, it } from 'vitest';
import type { ClaimTerms } from '../../../src/judgement/claim/claim.js';
import { parseClaims } from '../../../src/judgement/claim/claim-text.js';
import { claimWords } from '../../../src/judgement/claim/claim-words.js';
import { DocumentError } from '../../../src/schema/document-error.js';

const stated = (terms: ClaimTerms) =>
  Object.fromEntries(Object.entries(terms).filter(([, value]) => value !== null));

function faultsOf(text: string): string[] {
  try {
    parseClaims(text);
  } catch (error) {
    if (error instanceof DocumentError) return error.faults.map(({ what }) => what);
    throw error;
  }
  return [];
}

const BAND = [20, 20_000];
const MIDDLE = [1000, 1000];

/** As printed on units and leaflets and said at the counter, each with the reading of a bench engineer; invented units. */
const READINGS: [text: string, ...claims: object[]][] = [
  // Decimal marks and thousands.
  ['100 W, 0,5 %', { power_W: 100, distortion_percent: 0.5 }],
  ['100 W, 0,100 % THD', { power_W: 100, distortion_percent: 0.1, distortion: 'THD' }],
  ['62,5 W', { power_W: 62.5 }],
  ['100 W, 1,000 % THD+N', { power_W: 100, distortion_percent: 1, distortion: 'THD+N' }],
  ['100 W, 0,0055 %', { power_W: 100, distortion_percent: 0.0055 }],
  ['1,000 W', { power_W: 1000 }],
  ['12,500 W', { power_W: 12_500 }],
  ['1,250.5 W', { power_W: 1250.5 }],
  ['1.250,5 W', { power_W: 1250.5 }],
  ['1 000 W', { power_W: 1000 }],
  ["12'500 W", { power_W: 12_500 }],
  ['1,2 kW', { power_W: 1200 }],
  ['1.200 kW', { power_W: 1200 }],
  ['100 W, 20 Hz to 20,000 Hz', { power_W: 100, frequency_Hz: BAND }],
  ['100 W, 20-20,000 Hz', { power_W: 100, frequency_Hz: BAND }],
  ['100 W,8 ohm,1 kHz', { power_W: 100, load_ohm: 8, frequency_Hz: MIDDLE }],
  ['12.3450 W', { power_W: 12.345 }],
  ['0.250 W', { power_W: 0.25 }],
  ['100 W at 13,8 V supply', { power_W: 100, supply: { kind: 'dc', voltage_V: 13.8, frequency_Hz: null } }],
  // The band.
  ['100 W, 20-20k', { power_W: 100, frequency_Hz: BAND }],
  ['100 W, 20–20kHz', { power_W: 100, frequency_Hz: BAND }],
  ['100 W, 20 to 20k', { power_W: 100, frequency_Hz: BAND }],
  ['100 W, 20Hz-20k', { power_W: 100, frequency_Hz: BAND }],
  ['100 W, 20...20000 Hz', { power_W: 100, frequency_Hz: BAND }],
  ['100 W, 20 Hz through 20 kHz', { power_W: 100, frequency_Hz: BAND }],
  ['100 W @ 1k', { power_W: 100, frequency_Hz: MIDDLE }],
  ['100 W @ 1kHz', { power_W: 100, frequency_Hz: MIDDLE }],
  // The load.
  ['100 W 8R', { power_W: 100, load_ohm: 8 }],
  ['100 W 8 Ω', { power_W: 100, load_ohm: 8 }],
  ['100W@8Ω', { power_W: 100, load_ohm: 8 }],
  ['100W/8ohm', { power_W: 100, load_ohm: 8 }],
  ['100 W into an 8-ohm load', { power_W: 100, load_ohm: 8 }],
  ['100 watts into 8 Ohms', { power_W: 100, load_ohm: 8 }],
  ['100 W (4 ohm)', { power_W: 100, load_ohm: 4 }],
  // Whose watts.
  ['100 WPC', { power_W: 100, per: 'channel' }],
  ['100 W per channel', { power_W: 100, per: 'channel' }],
  ['100 W/ch', { power_W: 100, per: 'channel' }],
  ['100 W each channel', { power_W: 100, per: 'channel' }],
  ['2x100W', { power_W: 100, channels: 2, per: 'channel' }],
  ['2 × 100 W', { power_W: 100, channels: 2, per: 'channel' }],
  ['120 W + 120 W', { power_W: 120, channels: 2, per: 'channel' }],
  ['120 + 120 W, 8 ohm', { power_W: 120, channels: 2, per: 'channel', load_ohm: 8 }],
  ['50W+50W+50W', { power_W: 50, channels: 3, per: 'channel' }],
  ['240 W total', { power_W: 240, per: 'total' }],
  ['240 W combined, both channels driven', { power_W: 240, per: 'total', driven: 2 }],
  ['100 W mono', { power_W: 100, driven: 1 }],
  ['400 W bridged mono, 8 ohm', { power_W: 400, bridged: true, load_ohm: 8 }],
  ['600 W BTL 4 ohm', { power_W: 600, bridged: true, load_ohm: 4 }],
  ['100 W, all channels driven', { power_W: 100, driven: 'all' }],
  ['100 W, one channel driven', { power_W: 100, driven: 1 }],
  // The sort of power.
  ['100 Wrms', { power_W: 100, kind: 'continuous' }],
  ['100 W RMS', { power_W: 100, kind: 'continuous' }],
  ['100 W sine', { power_W: 100, kind: 'continuous' }],
  ['300 W peak', { power_W: 300, kind: 'peak' }],
  ['300 Wpk', { power_W: 300, kind: 'peak' }],
  ['300 W max. peak', { power_W: 300, kind: 'peak' }],
  ['1,000 W PMPO', { power_W: 1000, kind: 'PMPO' }],
  ['1000 W P.M.P.O.', { power_W: 1000, kind: 'PMPO' }],
  ['1000 W peak music power output', { power_W: 1000, kind: 'PMPO' }],
  ['160 W music', { power_W: 160, kind: 'music' }],
  ['160 W music power', { power_W: 160, kind: 'music' }],
  ['150 W dynamic power, 20 ms', { power_W: 150, kind: 'dynamic', duration_s: 0.02 }],
  ['150 W max', { power_W: 150, kind: 'maximum' }],
  ['150 W, 1 s burst', { power_W: 150, kind: 'burst', burst_s: 1 }],
  // Distortion.
  ['100 W @ 1% THD', { power_W: 100, distortion_percent: 1, distortion: 'THD' }],
  ['100 W, THD+N ≤ 0,1 %', { power_W: 100, distortion_percent: 0.1, distortion: 'THD+N' }],
  ['100 W at 10 percent THD', { power_W: 100, distortion_percent: 10, distortion: 'THD' }],
  ['100 W, -80 dB THD+N', { power_W: 100, distortion_percent: 0.01, distortion: 'THD+N' }],
  // Several claims in one line.
  ['100 W/8 ohm, 180 W/4 ohm', { power_W: 100, load_ohm: 8 }, { power_W: 180, load_ohm: 4 }],
  [
    '100 W/8 ohm, 180 W/4 ohm, 1 % THD, 1 kHz',
    { power_W: 100, load_ohm: 8, distortion_percent: 1, distortion: 'THD', frequency_Hz: MIDDLE },
    { power_W: 180, load_ohm: 4, distortion_percent: 1, distortion: 'THD', frequency_Hz: MIDDLE },
  ],
  [
    'continuous: 100 W into 8 ohm and 180 W into 4 ohm',
    { power_W: 100, load_ohm: 8, kind: 'continuous' },
    { power_W: 180, load_ohm: 4 },
  ],
  [
    '60 W, 8 ohm, 0.08 %, 20-20k, 110 W, 6 ohm, 10 %, 1 kHz',
    { power_W: 60, load_ohm: 8, distortion_percent: 0.08, frequency_Hz: BAND },
    { power_W: 110, load_ohm: 6, distortion_percent: 10, frequency_Hz: MIDDLE },
  ],
  [
    '100 W (8 ohm, 0.1 %), 120 W (8 ohm, 10 %)',
    { power_W: 100, load_ohm: 8, distortion_percent: 0.1 },
    { power_W: 120, load_ohm: 8, distortion_percent: 10 },
  ],
  [
    'both channels driven, 8 Ω: 2 x 100 W; 4 Ω: 2 x 180 W',
    { power_W: 100, load_ohm: 8, channels: 2, per: 'channel', driven: 2 },
    { power_W: 180, load_ohm: 4, channels: 2, per: 'channel', driven: 2 },
  ],
  [
    '100 W 8 ohm, 300 W 8 ohm peak',
    { power_W: 100, load_ohm: 8 },
    { power_W: 300, load_ohm: 8, kind: 'peak' },
  ],
  // The disclosure of 16 CFR 432.2 (text before 2024, paraphrased), with the thousands mark that it is printed with.
  [
    '100 watts per channel minimum continuous average power into 8 ohms, both channels driven, from 20 Hz to 20,000 Hz, 250 milliwatts to rated power, with no more than 0.05% total harmonic distortion',
    {
      power_W: 100,
      per: 'channel',
      kind: 'continuous',
      load_ohm: 8,
      driven: 2,
      frequency_Hz: BAND,
      from_W: 0.25,
      distortion_percent: 0.05,
      distortion: 'THD',
    },
  ],
];

describe('claims as people write them', () => {
  it.each(READINGS.map(([text, ...claims]) => ({ text, claims })))('reads $text', ({ text, claims }) => {
    expect(parseClaims(text).map(stated)).toEqual(claims);
  });

  it('writes each so that it is read as the same again', () => {
    for (const [text] of READINGS)
      for (const claim of parseClaims(text)) expect(parseClaims(claimWords(claim))).toEqual([claim]);
  });

  /** The words that stand in the way, each in quotes, and no others. */
  it.each<[string, ...string[]]>([
    ['1.000 W', "'1.000 W' may mean 1 W or 1000 W"],
    ['12.345 watts', "'12.345 watts' may mean 12.345 watts or 12345 watts"],
    ['100 W, 20 Hz to 20.000 Hz', "'20.000 Hz' may mean 20 Hz or 20000 Hz"],
    ['100 W, 4.000 ohm', "'4.000 ohm' may mean 4 ohm or 4000 ohm"],
    ['1,2,3 W', "'1,2,3' is not a number"],
    ['1.2.3 W', "'1.2.3' is not a number"],
    ['100 W, 20,20000 Hz', "'20,20000' is not a number"],
    ['10,00,000 W', "'10,00,000' is not a number"],
    ['100 W, 50 W', "two powers: '100 W' and '50 W'"],
    ['100 W 8 ohm, 120 W 8 ohm', "two powers: '100 W' and '120 W'"],
    [
      '100 W into 8 ohm 180 W into 4 ohm',
      "two powers: '100 W' and '180 W'",
      "two loads: '8 ohm' and '4 ohm'",
    ],
    ['120 W + 100 W', "'120 W + 100 W' adds unlike powers"],
    ['100 W, 8 ohm, 4 ohm', "two loads: '8 ohm' and '4 ohm'"],
    ['100/180 W', "'100' has no unit"],
    ['100 W, 8/4 ohm', "'8' has no unit"],
    ['100 W, 10-20 kHz', "'10 to 20 kHz' does not say the unit of 10"],
    ['100 W, ±3 dB', "'±3 dB' is a tolerance"],
    ['100 W, +/- 0,5 dB', "'+/- 0.5 dB' is a tolerance"],
    ['100 W, -3 dB', "'-3 dB' is not a distortion"],
    ['100 W, frequency response 20 Hz to 20 kHz', "unknown word 'response'"],
    ['100 W typical', "unknown word 'typical'"],
    ['100 W stereo', "unknown word 'stereo'"],
    ['about 100 W', "unknown word 'about'"],
    ['100 W of clean power', "unknown word 'clean'"],
    ['100 W, S/N 110 dB', "unknown word 'S/N'", "'110 dB' is not a distortion"],
    ['100 W, class D', "unknown word 'class'", "unknown word 'D'"],
    ['100 W, 2.83 V input', "'2.83 V' does not say which volts", "unknown word 'input'"],
    ['100 W peak music continuous', "two sorts of power: 'peak music' and 'continuous'"],
    ['100 W RMS peak', "two sorts of power: 'RMS' and 'peak'"],
    ['100 W mono, both channels driven', "two numbers of driven channels: 'mono' and 'both channels driven'"],
    ['100 MW', "expected a power such as 50 mW or 100 W, got '100 MW'"],
    ['100 hp', "unknown unit in '100 hp'"],
    ['100 VA', "unknown unit in '100 VA'"],
    ['one hundred watts', "unknown word 'one'", "unknown word 'hundred'"],
    ['8 ohm', "'8 ohm' states no power"],
  ])('refuses %j', (text, ...faults) => {
    expect(faultsOf(text)).toEqual(faults);
  });
});
