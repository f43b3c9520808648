import { describe, expect, it } from 'vitest';
import { checklist } from '../../src/safety/checklist.js';
import { hazards } from '../../src/safety/hazards.js';
import { limitPassed } from '../../src/safety/touch-limits.js';
import { makePlan } from '../../src/sequence/make-plan.js';
import { readSequence } from '../../src/sequence/sequence-file.js';
import { chain, load } from '../sequence/bench-fixture.js';
import { planOf, stand } from './stand.js';

/** Loads of 8, 4 and 2 ohm with ratings of their own; nothing is played into the last. */
const unequal = {
  ...stand,
  channels: [1, 2].map((channel) =>
    chain(channel, {
      loads: [load(8, { rating_W: 100 }), load(4, { rating_W: 250 }), load(2, { rating_W: 50 })],
    }),
  ),
};
const unequalPlan = () =>
  makePlan(
    readSequence(
      `name: t
steps:
  - sweep: {level: 80 W, load: 8 ohm, frequencies: [1 kHz]}
  - sweep: {level: 200 W, load: 4 ohm, frequencies: [1 kHz]}
`,
      's.yaml',
    ),
    unequal,
  );

describe('limitPassed', () => {
  // 42.4 V peak is reached by 112.36 W in 8 ohm, 224.72 W in 4 ohm (V = sqrt(2 P R); limit: IEC 61010-1 6.3.1,
  // clause from memory); 16 V rms by 32 W in 8 ohm (same source, from memory).
  it.each([
    [31.9, 8, null],
    [32.1, 8, 16],
    [112.3, 8, 16],
    [112.5, 8, 30],
    [224.6, 4, 16],
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
      'heat',
      'both-terminals-live',
      'stored-charge',
      'protective-earth',
    ]);
    // 200 W in 8 ohm: 40 V, 56.57 V peak, 7.07 A peak (V = sqrt(P R), I = sqrt(2 P / R)).
    expect(found[0]!.text).toContain(
      'Up to 40.0 V rms (56.6 V peak) and 7.07 A peak at the output terminals',
    );
    expect(found[0]!.text).toContain('hazardous to touch even with dry hands (limit 30 V rms, 42.4 V peak)');
    expect(found[0]!.source).toContain('IEC 61010-1');
    expect(found[1]!.text).toContain(
      'Up to 200.0 W in each load, 400.0 W in all of them together (the weakest is rated 250.0 W)',
    );
    expect(found[4]!.text).toMatch(/^Never lift the protective earth/);
  });

  it('says the rating of each kind of load that is asked for power, and of no other', () => {
    const heat = hazards(unequalPlan(), unequal).find(({ code }) => code === 'heat')!;
    expect(heat.text).toContain('Up to 200.0 W in each load');
    expect(heat.text).toContain('(the weakest of 8 ohm is rated 100.0 W, the weakest of 4 ohm 250.0 W)');
  });

  it('calls even a low level live, since a unit can fail', () => {
    const [first] = hazards(planOf('sweep: {level: 1 W, frequencies: [1 kHz]}'), stand);
    expect(first!.text).toContain('treat the terminals as live');
    expect(first!.source).toBe('');
  });

  it.each([
    'ceiling: {threshold: 1 %, frequencies: [1 kHz]}',
    'hold: {frequency: 1 kHz, level: 1 W, for: 1 min}',
    'warm-up: {level: 1 W, for: 1 min}',
    'quiet: {for: 10 s}',
  ])('warns of, and has confirmed, everything that needs a unit on its loads: %s', (step) => {
    expect(hazards(planOf(step), stand)).toHaveLength(5);
    expect(checklist(planOf(step), stand).map(({ id }) => id)).toContain('no-speakers');
  });

  it('has nothing to say when nothing plays', () => {
    expect(hazards(planOf('ask: hello'), stand)).toEqual([]);
    expect(checklist(planOf('ask: hello'), stand)).toEqual([]);
  });
});

describe('checklist', () => {
  it('asks in order, with the figures of this plan', () => {
    const items = checklist(planOf('sweep: {level: 200 W, frequencies: [1 kHz]}'), stand);
    expect(items.map(({ id }) => id)).toEqual([
      'earth',
      'no-speakers',
      'load-rating',
      'attenuators',
      'bridged',
      'air',
      'cut-off',
      'covered',
      'people',
    ]);
    const text = (id: string) => items.find((item) => item.id === id)!.text;
    expect(text('load-rating')).toContain('at least 250.0 W');
    expect(text('load-rating')).toContain('up to 200.0 W will be requested');
    expect(text('attenuators')).toContain(
      'an attenuator (1:25) between every tap and its input on channels 1 and 2',
    );
    expect(text('attenuators')).toContain('good for 56.6 V peak');
    for (const item of items) expect(item.text).toMatch(/\?$/);
  });

  it('asks for the rating of each kind of load by itself: that of the weakest says nothing of one that is asked for more', () => {
    const { text } = checklist(unequalPlan(), unequal).find(({ id }) => id === 'load-rating')!;
    expect(text).toBe(
      'Do the labels on the loads confirm the continuous ratings that the bench file gives: ' +
        'at least 100.0 W on those of 8 ohm (up to 80.0 W will be requested), ' +
        'at least 250.0 W on those of 4 ohm (up to 200.0 W will be requested)?',
    );
  });

  it('asks for covers only where the level is hazardous', () => {
    const items = checklist(planOf('sweep: {level: 50 W, frequencies: [1 kHz]}'), stand);
    expect(items.map(({ id }) => id)).not.toContain('covered');
  });
});
