import { readdirSync, readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { floorOfRun } from '../../../src/cli/look/floor-of-run.js';
import { invented } from '../../document/fixture.js';

const RECORDS = new URL('../../../calibration/stiff-pair/', import.meta.url);
const textOf = (name: string) => readFileSync(new URL(name, RECORDS), 'utf8');
const plain = invented();
const onStiffPair = {
  ...plain,
  bench: {
    ...plain.bench,
    text: readFileSync(new URL('../../../benches/stiff-pair.yaml', import.meta.url), 'utf8'),
  },
  calibration: readdirSync(RECORDS).map((name) => ({
    id: name.replace('.yaml', ''),
    kind: /^kind: (\w+)/m.exec(textOf(name))![1]!,
    text: textOf(name),
    sha256: '',
  })),
};
/** The number of a record's value, in the unit that it is written in. */
const numberOf = (name: string) => Number(/^value: ([\d.]+)/m.exec(textOf(name))![1]);

test.each([
  [-20, 0.00125],
  [-3, 0.0001778],
])('at 1 kHz and %d dB at the input the floor is what its record says, %f %', (level_dB, percent) => {
  // Volts rms of a sine at full scale, before the attenuator.
  const full_V = numberOf('input-1-2026-02-10.yaml') * numberOf('attenuator-1-2026-02-10.yaml');
  const voltage_V = full_V * 10 ** (level_dB / 20);
  const reading = { ...plain.readings[0]!, channel: 1, frequency_Hz: 1000.48828, voltage_V };
  expect(floorOfRun(onStiffPair)(reading)).toBeCloseTo(percent, 6);
});

test('a run whose bench file this version cannot read has no floor, and no error', () => {
  expect(
    floorOfRun({ ...plain, bench: { ...plain.bench, text: 'nothing: [' } })(plain.readings[0]!),
  ).toBeNull();
});
