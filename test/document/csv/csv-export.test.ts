import { expect, test } from 'vitest';
import { csvExport } from '../../../src/document/csv/csv-export.js';
import { invented, withoutReadings } from '../fixture.js';
import { HOSTILE } from '../hostile.js';
import { parse } from '../parse-csv.js';

test('there is one row for each reading, its numbers exact', () => {
  const record = invented();
  const rows = parse(csvExport(record));
  expect(rows).toHaveLength(record.readings.length);
  for (const [i, reading] of record.readings.entries()) {
    const row = rows[i]!;
    for (const name of [
      'power_W',
      'uncertainty_W',
      'voltage_V',
      'thdn_percent',
      'frequency_Hz',
      'gain_dB',
    ] as const)
      expect(Number(row[name])).toBe(reading[name]);
    for (const { order, rms } of reading.harmonics) expect(Number(row[`h${order}_V`])).toBe(rms);
    expect(row.flags).toBe(reading.flags.join(' '));
    expect([row.band_low_Hz, row.band_high_Hz]).toEqual(['20', '20000']);
  }
});

test('uncertainties and what a current shunt gave stand beside the figures', () => {
  const whole = invented();
  const given = {
    voltage_uncertainty_V: 0.0123,
    thdn_uncertainty_percent: 0.00045,
    current_A: 3.5333,
    load_seen_ohm: 8.0061,
  };
  const readings = whole.readings.map((reading) => ({ ...reading, ...given }));
  const row = parse(csvExport({ ...whole, readings })).at(-1)!;
  for (const [name, value] of Object.entries(given)) expect(Number(row[name])).toBe(value);
});

test('what does not exist is an empty cell', () => {
  const row = parse(csvExport(invented({ uncertainty: false }))).at(-1)!;
  expect([row.uncertainty_W, row.thd_percent, row.h2_V, row.capture]).toEqual(['', '', '', '']);
});

test('a row tells its point: driven channels, level and what was asked', () => {
  const record = invented();
  const row = parse(csvExport(record))[0]!;
  expect(row).toMatchObject({
    driven: '1 2',
    step: 'climb-1k',
    step_kind: 'climb',
    level_dB: '-40',
    asked_W: '0.05',
  });
});

test.each(['=1+1', '+1', '-1', '@SUM(A1)', '\t=1', '  =1', '\uff1d1'])(
  'the text %j cannot become a formula',
  (label) => {
    const row = parse(csvExport(invented({ label })))[0]!;
    expect(row.unit).toMatch(/^'/);
    expect(Number(row.level_dB)).toBe(-40);
  },
);

test('quotes, line ends and commas come back as they were, and control characters are shown', () => {
  const label = 'a "b", c\nd';
  expect(parse(csvExport(invented({ label })))[0]!.unit).toBe(label);
  expect(csvExport(invented({ label: HOSTILE.terminal }))).not.toContain('\u001b');
});

test('a run without readings gives the heading alone', () => {
  expect(csvExport(withoutReadings()).trimEnd().split('\r\n')).toHaveLength(1);
});
