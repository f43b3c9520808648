import { expect, test } from 'vitest';
import { chosenSpectra } from '../../../src/document/chart/chosen-spectra.js';
import { curveGroups } from '../../../src/document/chart/curves.js';
import { interruptedAtPoint3, invented } from '../fixture.js';

test('the weakest channel is shown at its lowest threshold and 20 dB below it', () => {
  const record = invented();
  const chosen = chosenSpectra(curveGroups([record], 'climb')[0]!);
  expect(chosen.map(({ why, label }) => [why, label])).toEqual([
    ['near 0.1 % THD+N', 'Channel 2'],
    ['at low level', 'Channel 2'],
  ]);
  const [high, low] = chosen.map(({ reading }) => reading.power_W);
  expect(10 * Math.log10(high! / 87.67)).toBeCloseTo(0, 1);
  expect(Math.abs(10 * Math.log10(high! / low!) - 20)).toBeLessThan(1.5);
});

test('a climb that crossed nothing is shown at its highest power', () => {
  const chosen = chosenSpectra(curveGroups([interruptedAtPoint3()], 'climb')[0]!);
  expect(chosen[0]!.why).toBe('at the highest power');
});

test('readings whose spectrum was not kept cannot be chosen', () => {
  const record = invented();
  const readings = record.readings.map((reading) => ({ ...reading, spectrum: null }));
  expect(chosenSpectra(curveGroups([{ ...record, readings }], 'climb')[0]!)).toEqual([]);
});
