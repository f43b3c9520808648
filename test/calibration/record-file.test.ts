import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { readRecord } from '../../src/calibration/record-file.js';
import { DocumentError } from '../../src/schema/document-error.js';

const folder = new URL('../../calibration/', import.meta.url);

describe('readRecord', () => {
  it('reads a load with its nominal value and its text', () => {
    const text =
      'kind: load\nchannel: 2\nnominal: 8 ohm\nvalue: 8.021 ohm\nuncertainty: 0.05 %\ndate: 2026-03-01\n';
    expect(readRecord(text, 'l.yaml', 'load-2')).toEqual({
      record: {
        id: 'load-2',
        kind: 'load',
        date: '2026-03-01',
        due: null,
        text,
        sha256: expect.stringMatching(/^[0-9a-f]{64}$/),
      },
      value: 8.021,
      stated: [expect.objectContaining({ standard_percent: 0.05 })],
      channel: 2,
      load: {
        nominal_ohm: 8,
        tempco_per_K: null,
        heating_K_per_W: null,
        warmingLimits: null,
        inductance_H: null,
      },
      floor: null,
      response: null,
      temperature_C: null,
    });
  });

  it('gives peak volts for an output', () => {
    const { value } = readRecord('kind: output\nchannel: 1\nvalue: 2 V rms', 'o.yaml', 'o');
    expect(value).toBeCloseTo(2 * Math.SQRT2, 12);
  });

  it('accepts every record that ships', () => {
    const files = readdirSync(folder).filter((name) => name.endsWith('.yaml'));
    expect(files).toHaveLength(9);
    for (const file of files) {
      const { record, stated } = readRecord(readFileSync(new URL(file, folder)), file, file);
      expect(stated === null).toBe(record.kind === 'floor');
    }
  });

  it.each([
    ['kind: load\nchannel: 1\nvalue: 8 ohm', 'nominal: is missing; give a resistance'],
    [
      'kind: input\nchannel: 1\nvalue: 2 V',
      "expected a full-scale voltage such as 4 V rms or 5.66 V peak, got '2 V'",
    ],
    ['kind: attenuator\nchannel: 1\nvalue: 1/20', "expected a plain ratio of at least 1, got '1/20'"],
    ['kind: floor\nvalue: 0 %', 'expected a percentage above zero'],
    ['kind: floor\nvalue: 1 %\ndate: 2026-02-30', 'r.yaml:3:7: date: not a day; write year-month-day'],
    ['kind: colour\nvalue: 1', "expected one of 'output', 'input', 'attenuator', 'load', 'shunt', 'floor', 'response'"],
  ])('refuses %j', (text, message) => {
    expect(() => readRecord(text, 'r.yaml', 'r')).toThrow(DocumentError);
    expect(() => readRecord(text, 'r.yaml', 'r')).toThrow(message);
  });
});
