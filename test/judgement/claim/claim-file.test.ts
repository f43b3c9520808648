import { describe, expect, it } from 'vitest';
import { readClaims } from '../../../src/judgement/claim/claim-file.js';
import { DocumentError } from '../../../src/schema/document-error.js';

function faultsOf(text: string): string[] {
  try {
    readClaims(text, 'claim.yaml');
  } catch (error) {
    if (error instanceof DocumentError)
      return error.faults.map(({ line, column, path, what }) => `${line}:${column} ${path}: ${what}`);
    throw error;
  }
  return [];
}

describe('readClaims', () => {
  it('reads one claim with its terms', () => {
    const { unit, source, claims } = readClaims(
      [
        'unit: blue box, serial 7',
        'source: leaflet of March',
        'power: 120 W',
        'per: channel',
        'load: 6 ohm',
        'thdn: 0.9 %',
        'frequency: 20 Hz to 20 kHz',
        'driven: all',
        'mains: 230 V 50 Hz',
        'duration: 5 min',
        'standard: IEC 60268-3',
      ].join('\n'),
      'claim.yaml',
    );
    expect([unit, source]).toEqual(['blue box, serial 7', 'leaflet of March']);
    expect(claims).toEqual([
      {
        power_W: 120,
        from_W: null,
        per: 'channel',
        kind: null,
        load_ohm: 6,
        distortion_percent: 0.9,
        distortion: 'THD+N',
        frequency_Hz: [20, 20_000],
        channels: null,
        driven: 'all',
        bridged: null,
        supply: { kind: 'mains', voltage_V: 230, frequency_Hz: 50 },
        duration_s: 300,
        burst_s: null,
        standard: 'IEC 60268-3',
      },
    ]);
  });

  it('reads a list of claims, as text and as keys', () => {
    const { claims } = readClaims(
      'claims:\n  - 100 W, 8 ohm\n  - {power: 180 W, load: 4 ohm}\n',
      'claim.yaml',
    );
    expect(claims.map(({ power_W, load_ohm }) => [power_W, load_ohm])).toEqual([
      [100, 8],
      [180, 4],
    ]);
  });

  it.each<[string, string[]]>([
    ['load: 8 ohm\n', ['1:1 power: is missing']],
    ['power: 100\n', ["1:8 power: '100' has no unit"]],
    ['power: 0 W\n', ['1:8 power: no amplifier has a power of 0 W']],
    ['power: 100 W\nload: -4 ohm\n', ['2:7 load: no amplifier has a load of -4 ohm']],
    ['power: 100 W\nthd: 300 %\n', ['2:6 thd: no amplifier has a distortion of 300 %']],
    [
      'power: 100 W\nfrequency: 20 kHz to 20 Hz\n',
      ['2:12 frequency: the band runs down, from 20 kHz to 20 Hz'],
    ],
    ['power: 100 W\nthd: 1 %\nthdn: 1 %\n', ['3:1 thdn: thd and thdn: a claim has one distortion']],
    ['power: 100 W\nlaod: 8 ohm\n', ["2:1 laod: unknown key 'laod'"]],
    ['claims:\n  - 100 W\n  - 100 W, loud\n', ["3:5 claims[2]: character 8: unknown word 'loud'"]],
    ['claims:\n  - {power: 100 W, load: 0 ohm}\n', ['2:26 claims[1].load: no amplifier has a load of 0 ohm']],
    ['claims: []\n', ['1:9 claims: the list is empty']],
  ])('%j: %j', (text, expected) => {
    expect(faultsOf(text)).toEqual(expected);
  });
});
