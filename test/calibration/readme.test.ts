import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { type FiledRecord, readRecord } from '../../src/calibration/record-file.js';
import { budgetOf, type Component, weighed } from '../../src/measure/budget.js';

const readme = readFileSync(new URL('../../calibration/README.md', import.meta.url), 'utf8');
const records = [...readme.matchAll(/```yaml\n(.*?)```/gs)].map(([, text], i) =>
  readRecord(text!, `README block ${i + 1}`, `block-${i + 1}`),
);
/** The last record of a kind: the one of the worked example. */
const worked = (kind: string): FiledRecord => records.findLast(({ record }) => record.kind === kind)!;

const powerBudget = (components: readonly Component[]) =>
  budgetOf({ quantity: 'power', value: 100, unit: 'W', components });

describe('the worked example for a bench with one multimeter', () => {
  const volts = weighed([...worked('input').stated!, ...worked('attenuator').stated!], 2);

  it('is made of records that can be used', () =>
    expect(records.map(({ record }) => record.kind)).toEqual([
      'load',
      'output',
      'input',
      'attenuator',
      'load',
    ]));

  it('states the output as the meter does: 0.46 %', () =>
    expect(worked('output').stated![0]!.standard_percent).toBeCloseTo(0.46, 2));

  it('ends at 2.2 W of 100 W, k = 2', () => {
    const budget = powerBudget([...volts, ...weighed(worked('load').stated!, -1)]);
    expect(readme).toContain('100 W ± 2.2 W');
    expect(budget.expanded).toBeCloseTo(2.2, 1);
    expect(budget.standard_percent).toBeCloseTo(1.12, 2);
    expect(10 * Math.log10(1 + budget.expanded_percent! / 100)).toBeCloseTo(0.1, 2);
  });

  it('gets 5.6 % out of a load read by two leads, and 1.9 % with a resistor of 0.1 %', () => {
    const twoLeads = ['accuracy: 0.8 % + 3 counts', 'resolution: 0.1 ohm', 'reading: 8.2 ohm'];
    const head = 'kind: load\nchannel: 1\nnominal: 8 ohm\nvalue: 8 ohm';
    const { stated } = readRecord([head, ...twoLeads].join('\n'), 'two-leads.yaml', 'two-leads');
    expect(stated![0]!.standard_percent).toBeCloseTo(2.6, 1);
    expect(powerBudget([...volts, ...weighed(stated!, -1)]).expanded_percent).toBeCloseTo(5.6, 1);
    // Limits of 0.1 % and twice 0.3 %, each over the root of three.
    const compared = Math.hypot(0.1, 0.3, 0.3) / Math.sqrt(3);
    expect(compared).toBeCloseTo(0.25, 2);
    const component = { ...stated![0]!, standard_percent: compared, sensitivity: -1 };
    expect(powerBudget([...volts, component]).expanded_percent).toBeCloseTo(1.9, 1);
  });
});
