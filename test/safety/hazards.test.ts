import { describe, expect, it } from 'vitest';
import { checklist } from '../../src/safety/checklist.js';
import { hazards } from '../../src/safety/hazards.js';
import { limitPassed } from '../../src/safety/touch-limits.js';
import { planOf, stand, unequal, unequalPlan } from './stand.js';

describe('limitPassed', () => {
  // 42.4 V peak is reached by 112.36 W in 8 ohm, 224.72 W in 4 ohm (V = sqrt(2 P R); limit: IEC 61010-1,
  // hazardous live in normal condition).
  it.each([
    [31.9, 8, null],
    [112.3, 8, null],
    [112.5, 8, 30],
    [224.6, 4, null],
    [224.9, 4, 30],
    [313, 8, 50],
  ])('%d W in %d ohm passes the limit of %s V rms', (power_W, load_ohm, rms_V) => {
    const voltage_V = Math.sqrt(power_W * load_ohm);
    expect(limitPassed(voltage_V, voltage_V * Math.SQRT2)?.rms_V ?? null).toBe(rms_V);
  });
});

describe('hazards', () => {
  it('says volts, amps and watts of the worst case', () => {
    const found = hazards(planOf('sweep: {level: 200 W, frequencies: [1 kHz]}'), stand);
    expect(found.map(({ code }) => code)).toEqual([
      'live-terminals',
      'full-supply',
      'heat',
      'both-terminals-live',
      'carrier',
      'valves',
      'mains-parts',
      'stored-charge',
      'protective-earth',
      'hearing',
    ]);
    // 200 W in 8 ohm: 40 V, 56.57 V peak, 7.07 A peak (V = sqrt(P R), I = sqrt(2 P / R)).
    expect(found[0]!.text).toContain(
      'Up to 40.0 V rms (56.6 V peak) and 7.07 A peak at the output terminals',
    );
    expect(found[0]!.text).toContain('hazardous to touch even with dry hands (limit 30 V rms, 42.4 V peak)');
    expect(found[0]!.source).toContain('IEC 61010-1');
    expect(found[2]!.text).toContain(
      'Up to 200.0 W in each load, 400.0 W in all of them together (the weakest is rated 250.0 W)',
    );
  });

  it('says the rating of each kind of load that is asked for power, and of no other', () => {
    const heat = hazards(unequalPlan(), unequal).find(({ code }) => code === 'heat')!;
    expect(heat.text).toContain('Up to 200.0 W in each load');
    expect(heat.text).toContain('(the weakest of 8 ohm is rated 100.0 W, the weakest of 4 ohm 250.0 W)');
  });

  it.each([1, 200])('warns of the full supply voltage at %d W as at any other level', (power_W) => {
    const plan = planOf(`sweep: {level: ${power_W} W, frequencies: [1 kHz]}`);
    const text = (bench: Parameters<typeof hazards>[1]) =>
      hazards(plan, bench).find(({ code }) => code === 'full-supply')!.text;
    expect(text(stand)).toMatch(
      /^A unit can fail with its full supply voltage at its output, at any level and at rest\./,
    );
    // Rail to rail of a bridge: twice 56 V.
    expect(text({ ...stand, unitSupply: { kind: 'split', outputs: 'bridged', rail_V: 56 } })).toContain(
      'at rest: 112.0 V here, rail to rail.',
    );
  });

  it.each([
    'ceiling: {threshold: 1 %, frequencies: [1 kHz]}',
    'hold: {frequency: 1 kHz, level: 1 W, for: 1 min}',
    'warm-up: {level: 1 W, for: 1 min}',
    'quiet: {for: 10 s}',
  ])('warns of, and has confirmed, everything that needs a unit on its loads: %s', (step) => {
    expect(hazards(planOf(step), stand)).toHaveLength(10);
    expect(checklist(planOf(step), stand).map(({ id }) => id)).toContain('no-speakers');
  });

  it('has nothing to say when nothing plays', () => {
    expect(hazards(planOf('ask: hello'), stand)).toEqual([]);
    expect(checklist(planOf('ask: hello'), stand)).toEqual([]);
  });
});
