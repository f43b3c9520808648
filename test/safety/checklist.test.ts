import { describe, expect, it } from 'vitest';
import type { UnitSupply } from '../../src/bench/unit-supply.js';
import { beforeConnecting, checklist, onConnections } from '../../src/safety/checklist.js';
import { isWired } from '../../src/sequence/plan.js';
import { planOf, stand, unequal, unequalPlan } from './stand.js';

const LOUD = planOf('sweep: {level: 200 W, frequencies: [1 kHz]}');
const QUIET = planOf('sweep: {level: 5 W, frequencies: [1 kHz]}');
const bridged: UnitSupply = { kind: 'split', outputs: 'bridged', rail_V: 56 };
const single: UnitSupply = { kind: 'split', outputs: 'single-ended', rail_V: 56 };
const valves: UnitSupply = { kind: 'fault', outputs: 'transformer', fault_V: 450 };

function connections(plan: typeof LOUD, unitSupply: UnitSupply | null, bench = stand) {
  const items = onConnections(plan.steps.filter(isWired), plan, { ...bench, unitSupply });
  return {
    ids: items.map(({ id }) => id),
    text: (id: string) => items.find((item) => item.id === id)?.text ?? '',
  };
}

describe('the checklist', () => {
  it('begins with people, place and equipment, and ends with what concerns connections', () => {
    expect(beforeConnecting(LOUD).map(({ id }) => id)).toEqual([
      'people',
      'cut-off',
      'earth',
      'residual-current',
      'covers',
      'air',
      'fire',
    ]);
    expect(connections(LOUD, null).ids).toEqual([
      'no-speakers',
      'load-rating',
      'attenuators',
      'both-terminals',
      'carrier',
      'valves',
      'leads',
      'covered',
    ]);
    for (const { text } of beforeConnecting(LOUD)) expect(text).toMatch(/\?$/);
  });

  it('wants somebody present who can help, not somebody who knows of it', () => {
    expect(beforeConnecting(QUIET)[0]!.text).toMatch(
      /somebody present who can cut the mains and give first aid\?$/,
    );
  });

  it('is empty when nothing plays', () => {
    expect(checklist(planOf('ask: hello'), stand)).toEqual([]);
  });

  it('names the rating of the loads and what is requested of them', () => {
    expect(connections(LOUD, null).text('load-rating')).toBe(
      'Does the label on every load state a continuous rating of at least 250.0 W? This run requests up to 200.0 W.',
    );
  });

  it('names the rating of each kind of load: that of the weakest says nothing of one that gets more', () => {
    expect(connections(unequalPlan(), null, unequal).text('load-rating')).toBe(
      'Do the labels on the loads state these continuous ratings: ' +
        'at least 100.0 W on those of 8 ohm (this run requests up to 80.0 W), ' +
        'at least 250.0 W on those of 4 ohm (this run requests up to 200.0 W)?',
    );
  });
});

describe('ratings on the outputs', () => {
  it('follow the supply, not the planned level', () => {
    // 5 W into 8 ohm is 8.94 V peak; a rail of 56 V through 1:25 leaves 2.24 V.
    for (const plan of [LOUD, QUIET]) {
      const { text } = connections(plan, single);
      expect(text('attenuators')).toBe(
        'Is an attenuator (1:25), rated for at least 56.0 V (one rail to ground), between every tap and its input on channels 1 and 2, ' +
          'and can the inputs take that voltage divided by the ratio (2.24 V)?',
      );
      expect(text('covered')).toBe(
        'The outputs can carry 56.0 V (one rail to ground). Are all terminals covered or out of reach?',
      );
    }
    expect(connections(QUIET, null).text('attenuators')).not.toContain('8.9');
  });

  it('are not left out at a low level where the supply is not known', () => {
    const { text } = connections(QUIET, null);
    expect(text('attenuators')).toContain(
      "rated for at least the highest voltage that the unit's supply can put there",
    );
    expect(text('covered')).toMatch(/covered or out of reach/);
  });

  it('leave covers out only where neither supply nor level can hurt', () => {
    // 12 V is below 42.4 V peak, and so are 8.94 V; 200 W into 8 ohm are 56.6 V.
    const car: UnitSupply = { kind: 'single', outputs: 'bridged', supply_V: 14.4 };
    expect(connections(QUIET, car).ids).not.toContain('covered');
    expect(connections(LOUD, car).ids).toContain('covered');
  });

  it('name the common mode of a bridge, which is one rail', () => {
    const { text, ids } = connections(LOUD, bridged);
    expect(text('both-terminals')).toMatch(/^The outputs are bridged.*common mode of at least 56\.0 V\?$/);
    expect(text('attenuators')).toContain('112.0 V (rail to rail)');
    expect(ids).not.toContain('valves');
  });

  it('ask of valves and bridges only where the outputs may be such', () => {
    expect(connections(LOUD, single).ids).not.toContain('both-terminals');
    expect(connections(LOUD, valves).ids).toContain('valves');
    expect(connections(LOUD, valves).text('attenuators')).toContain(
      '450.0 V (the fault case of the output transformer)',
    );
  });
});
