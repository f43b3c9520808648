import { readdirSync, readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readRecord } from '../../src/calibration/record-file.js';
import { DocumentError } from '../../src/schema/document-error.js';

const folder = new URL('../../calibration/', import.meta.url);

const read = (text: string) => readRecord(text, 'r.yaml', 'r');
const input = (...more: string[]) => ['kind: input', 'channel: 1', 'value: 2 V rms', ...more].join('\n');
const load = (...more: string[]) =>
  ['kind: load', 'channel: 1', 'nominal: 8 ohm', 'value: 8.014 ohm', ...more].join('\n');

describe('readRecord', () => {
  it('reads a load with all that it knows, and its text', () => {
    const text = load(
      'temperature: 22.5 degC',
      'tempco: 20 ppm/K',
      'heating: 0.6 K/W',
      'warming_limits: 0.3',
      'inductance: 4 uH',
      'uncertainty: 0.05 %',
      'freedom: 12.5',
      'date: 2026-03-01',
      'due: 2027-03-01',
      'bench: Left bench',
      'instrument: bridge',
      'serial: "0042"',
      'by: somebody',
    );
    expect(readRecord(text, 'l.yaml', 'load-1')).toEqual({
      record: {
        id: 'load-1',
        kind: 'load',
        date: '2026-03-01',
        due: '2027-03-01',
        text,
        sha256: expect.stringMatching(/^[0-9a-f]{64}$/),
      },
      value: 8.014,
      stated: [
        {
          source: 'load 1 (8 ohm): calibration (record load-1)',
          type: 'B',
          distribution: 'normal',
          standard_percent: 0.05,
          freedom: 12.5,
        },
      ],
      channel: 1,
      load: expect.objectContaining({
        nominal: 8,
        tempco: 20e-6,
        heating: 0.6,
        warming_limits: 0.3,
        inductance: 4e-6,
      }),
      floor: null,
      response: null,
      temperature_C: 22.5,
    });
  });

  it('gives peak volts for an output', () => {
    expect(read('kind: output\nchannel: 1\nvalue: 2 V rms').value).toBeCloseTo(2 * Math.SQRT2, 12);
  });

  it('reads a shunt', () => {
    const filed = read('kind: shunt\nchannel: 3\nvalue: 100.2 mohm\nuncertainty: 0.1 %');
    expect(filed).toMatchObject({
      value: 0.1002,
      channel: 3,
      stated: [{ source: 'shunt 3: calibration (record r)' }],
    });
  });

  it('reads a floor as one figure or as a table', () => {
    expect(read('kind: floor\nvalue: 0.0003 %').floor).toEqual({ kind: 'stated', thdn_percent: 0.0003 });
    const table = 'points:\n  - {frequency: 1 kHz, level: -10 dB, thdn: 0.0004 %}\nnoise: 3 uV';
    expect(read(`kind: floor\n${table}`).floor).toEqual({
      kind: 'measured',
      points: [{ frequency_Hz: 1000, level_dB: -10, thdn_percent: 0.0004 }],
    });
  });

  it('makes the levels of a response relative to the one at 1 kHz, straight over log frequency', () => {
    const point = (frequency: string, level: number) =>
      `  - {frequency: ${frequency}, level: ${level} dB, uncertainty: 0.005 dB}`;
    const filed = read(
      ['kind: response', 'channel: 2', 'points:', point('500 Hz', 0.02), point('2 kHz', 0.04)].join('\n'),
    );
    expect(filed.value).toBeNull();
    // 1 kHz lies half way between 500 Hz and 2 kHz: 0.03 dB.
    expect(filed.response!.points.map(({ level_dB }) => level_dB)).toEqual([
      expect.closeTo(-0.01, 12),
      expect.closeTo(0.01, 12),
    ]);
    expect(filed.response!.points[0]).toMatchObject({ frequency_Hz: 500, uncertainty_dB: 0.005 });
  });

  it('accepts every record that ships', () => {
    const files = readdirSync(folder, { recursive: true, encoding: 'utf8' }).filter((name) =>
      name.endsWith('.yaml'),
    );
    expect(files.length).toBeGreaterThanOrEqual(9);
    for (const file of files) {
      const id = file.replace(/^.*[\\/]|\.yaml$/g, '');
      const { record, stated } = readRecord(readFileSync(new URL(file, folder)), file, id);
      expect(stated === null).toBe(record.kind === 'floor' || record.kind === 'response');
      // A simulated bench does not age: a day on which its examples expire would only spoil them.
      expect(record.due).toBeNull();
    }
  });

  it.each([
    ['kind: load\nchannel: 1\nvalue: 8 ohm', 'nominal: is missing; give a resistance'],
    [
      load().replace('8.014 ohm', '80.14 ohm'),
      'r.yaml:4:8: value: the 8 ohm load measures 80.14 ohm, 902 % more',
    ],
    [load().replace('8.014 ohm', '8.014 mohm'), 'expected a resistance of at least 10 mohm'],
    [input().replace(' rms', ''), "got '2 V'; Say which volts: 'rms' or 'peak'"],
    [
      input().replace('2 V', '2 mV'),
      'r.yaml:3:8: value: no converter has so little at full scale; expected at least 10 mV peak: was another prefix meant?',
    ],
    [
      input().replace('2 V', '2000 V'),
      'no converter has so much at full scale; expected at most 1000 V peak',
    ],
    ['kind: attenuator\nchannel: 1\nvalue: 1/20', "expected a plain ratio of at least 1, got '1/20'"],
    ['kind: attenuator\nchannel: 1\nvalue: 25 ohm', "got '25 ohm'; 'ohm' is the unit of a resistance"],
    ['kind: attenuator\nchannel: 1\nvalue: 28 dB', "got '28 dB'; 'dB' is the unit of a number of decibels"],
    ['kind: shunt\nchannel: 1\nvalue: 100 ohm', 'expected a resistance of at most 10 ohm'],
    ['kind: floor\nvalue: 0 %', 'expected a percentage above zero'],
    ['kind: floor\nvalue: 1 %\nchannel: 1', "unknown key 'channel'"],
    ['kind: floor', "neither 'value' nor 'points' says what the floor is"],
    [
      'kind: floor\nvalue: 1 %\npoints: [{frequency: 1 kHz, level: -1 dB, thdn: 1 %}]',
      "r.yaml:3:9: points: both 'value' and 'points'",
    ],
    [
      'kind: floor\npoints: [{frequency: 1 kHz, level: -1 dB, thdn: 1 %}, {frequency: 1000 Hz, level: -1 dB, thdn: 2 %}]',
      'points[2]: a second point for 1000 Hz at -1 dB',
    ],
    ['kind: floor\nvalue: 1 %\ndate: 2026-02-30', 'r.yaml:3:7: date: not a day; write year-month-day'],
    [
      input('date: 2026-03-02', 'due: 2026-03-01'),
      'r.yaml:5:6: due: due on 2026-03-01, before its own date 2026-03-02; give the last day on which it holds',
    ],
    [
      'kind: colour\nvalue: 1',
      "expected one of 'output', 'input', 'attenuator', 'load', 'shunt', 'floor', 'response'",
    ],
  ])('refuses %j', (text, message) => {
    expect(() => read(text)).toThrow(DocumentError);
    expect(() => read(text)).toThrow(message);
  });

  it.each([
    ['500 Hz', '900 Hz', '0 dB', 'the points do not reach 1 kHz'],
    ['1.1 kHz', '2 kHz', '0 dB', 'the points do not reach 1 kHz'],
    ['2 kHz', '500 Hz', '0 dB', 'points[2].frequency: the frequencies do not rise'],
    ['1 kHz', '1 kHz', '0 dB', 'the frequencies do not rise'],
    ['500 Hz', '2 kHz', '0.06 dB', 'the level at 1 kHz is 0.06 dB; levels are relative to 1 kHz'],
  ])('refuses a response from %s to %s at %s', (low, high, level, message) => {
    const points = [low, high].map(
      (frequency) => `{frequency: ${frequency}, level: ${level}, uncertainty: 0 dB}`,
    );
    expect(() => read(`kind: response\nchannel: 1\npoints: [${points}]`)).toThrow(message);
  });

  it('gives a record or one DocumentError for any text', () => {
    const line = fc.oneof(
      fc.constantFrom(
        input(),
        load(),
        'kind: load',
        'kind: input',
        'kind: response',
        'kind: floor',
        'channel: 1',
        'nominal: 8 ohm',
        'value: 8 ohm',
        'value: 2 V rms',
        'value: 1 %',
        'accuracy: 0.5 % + 3 counts',
        'accuracy: 1 %',
        'resolution: 10 mV',
        'uncertainty: 0.1 %',
        'reading: 8 ohm',
        'freedom: 3',
        'freedom: .inf',
        'linearity: 1 %',
        'date: 2026-01-01',
        'points: []',
        'points: [{frequency: 1 kHz, level: 0 dB, uncertainty: 0 dB}, {frequency: 2 kHz, level: 0 dB, uncertainty: 0 dB}]',
        'seal: 0',
        'seal: {a: 1}',
      ),
      fc.string({ maxLength: 20 }),
      fc.string({ unit: 'binary', maxLength: 8 }),
    );
    let accepted = 0;
    fc.assert(
      fc.property(fc.array(line, { maxLength: 8 }), (lines) => {
        try {
          read(lines.join('\n'));
          accepted += 1;
        } catch (error) {
          expect(error).toBeInstanceOf(DocumentError);
          expect((error as Error).message).not.toMatch(/undefined|\[object|NaN/);
        }
      }),
      { seed: 12, numRuns: 4000 },
    );
    expect(accepted).toBeGreaterThan(0);
  });
});

describe('how well a value is known', () => {
  it("comes from the meter's accuracy as limits over root three", () => {
    // 0.5 % of 28.28 V + 3 counts of 10 mV: limit 0.1714 V, u = 0.0989578 V = 0.349922 %. By arithmetic, also in
    // the project's sheet of facts (section 10); the division by root three is JCGM 100:2008, 4.3.7 (clause from memory).
    const meter = ['accuracy: 0.5 % + 3 counts', 'resolution: 10 mV', 'reading: 28.28 V'];
    const [contribution, ...others] = read(input(...meter)).stated!;
    expect(others).toEqual([]);
    expect(contribution).toMatchObject({
      source: 'input 1: meter 0.5 % + 3 counts (record r)',
      type: 'B',
      distribution: 'rectangular',
      freedom: null,
    });
    expect(contribution!.standard_percent).toBeCloseTo(0.349922, 6);
    expect((contribution!.standard_percent / 100) * 28.28).toBeCloseTo(0.0989578, 7);
  });

  it('takes the rms of full scale for the reading where none is written', () => {
    // 0.5 % of 2 V + 3 x 0.001 V = 0.013 V = 0.65 %.
    const [meter] = read(input('accuracy: 0.5 % + 3 counts', 'resolution: 1 mV')).stated!;
    expect(meter!.standard_percent).toBeCloseTo(0.65 / Math.sqrt(3), 10);
  });

  it('keeps the limits in ohms where the leads were taken off the reading', () => {
    // 1 % of 8.4 ohm + 2 x 0.1 ohm = 0.284 ohm, on 8.014 ohm.
    const meter = ['accuracy: 1 % + 2 counts', 'resolution: 0.1 ohm', 'reading: 8.4 ohm'];
    const [contribution] = read(load(...meter)).stated!;
    expect(contribution!.standard_percent).toBeCloseTo(28.4 / 8.014 / Math.sqrt(3), 10);
  });

  it('has linearity and stability beside it, as limits', () => {
    const stated = read(input('uncertainty: 0.1 %', 'linearity: 0.02 %', 'stability: 0.05 %')).stated!;
    expect(stated.map(({ source }) => source)).toEqual([
      'input 1: calibration (record r)',
      'input 1: linearity (record r)',
      'input 1: stability (record r)',
    ]);
    expect(stated[1]!.standard_percent).toBeCloseTo(0.02 / Math.sqrt(3), 12);
    expect(stated[2]!.standard_percent).toBeCloseTo(0.05 / Math.sqrt(3), 12);
  });

  it('is not stated by a record that is silent about it', () => expect(read(input()).stated).toBeNull());

  it.each([
    [input('accuracy: 1 %', 'uncertainty: 1 %'), "r.yaml:4:11: accuracy: both 'uncertainty' and 'accuracy'"],
    [
      input('accuracy: 1 % + 3 counts'),
      "accuracy: 'resolution' is missing; say what one count is, as in 10 mV",
    ],
    [load('accuracy: 1 % + 3 counts'), 'say what one count is, as in 0.01 ohm'],
    [load('accuracy: 1 % + 3 counts', 'resolution: 1 V'), "'V' is the unit of a voltage"],
    [
      'kind: attenuator\nchannel: 1\nvalue: 25\naccuracy: 1 % + 3 counts\nresolution: 10 mV',
      "'reading' is missing; say what the meter showed at the load, as in 28.28 V",
    ],
    [input('accuracy: 1 % + 3 counts', 'resolution: 1 V'), 'the limits are as large as the reading itself'],
    [input('accuracy: 1'), 'got the bare number 1; give the unit'],
    [input('reading: 2 V'), "'reading' belongs to an 'accuracy'"],
    [input('resolution: 2 V'), "'resolution' belongs to an 'accuracy'"],
    [input('freedom: 5'), "belongs to an 'uncertainty'"],
    [input('uncertainty: 1 %', 'freedom: 0.5'), 'expected a number at least 1'],
    [input('linearity: 0.1 %'), "'linearity' alone does not say how well it is known"],
    [input('stability: 0.1 %'), "'stability' alone does not say how well it is known"],
  ])('is refused as %j', (text, message) => expect(() => read(text)).toThrow(message));
});
