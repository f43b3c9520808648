import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { BenchFacts } from '../../src/sequence/bench-facts.js';
import { operatorChange } from '../../src/sequence/operator-change.js';
import type { PlanStep, WiredStep } from '../../src/sequence/plan.js';
import type { SweepStep } from '../../src/steps/sweep/plan.js';
import { bench, chain, load } from './bench-fixture.js';
import { bench84, faultsOf, planOf, wiredOf } from './plan-fixture.js';

const repeated = (dimensions: string, ...steps: string[]) =>
  `name: t\nload: 8 ohm\nsteps:\n  - repeat:\n      ${dimensions}\n      steps:\n${steps.map((step) => `        - ${step}\n`).join('')}`;

const CLIMB = 'climb: {id: c, frequency: 1 kHz}';
const SWEEP = 'sweep: {id: s, level: 0.1 % of c, frequencies: [1 kHz]}';
const four = bench84([1, 2, 3, 4]);
const ids = (steps: readonly PlanStep[]) => steps.map(({ id }) => id);

describe('a repeat', () => {
  it('goes through loads outermost and driven sets innermost, there and back', () => {
    const plan = planOf(repeated('loads: [8 ohm, 4 ohm]\n      driven: [one, two, all]', CLIMB), four);
    expect(ids(plan.steps)).toEqual([
      'c/8ohm/one',
      'c/8ohm/two',
      'c/8ohm/all',
      'c/4ohm/all',
      'c/4ohm/two',
      'c/4ohm/one',
    ]);
    expect(wiredOf(plan).map(({ load_ohm, driven, cell }) => [load_ohm, driven, cell])).toEqual([
      [8, [1], '8 ohm, channel 1'],
      [8, [1, 2], '8 ohm, channels 1 and 2'],
      [8, [1, 2, 3, 4], '8 ohm, channels 1 to 4'],
      [4, [1, 2, 3, 4], '4 ohm, channels 1 to 4'],
      [4, [1, 2], '4 ohm, channels 1 and 2'],
      [4, [1], '4 ohm, channel 1'],
    ]);
    expect(plan.estimate.visits).toBe(2);
  });

  it('takes any one dimension, and puts only that into the ids', () => {
    expect(ids(planOf(repeated('driven: [one, [2, 4]]', CLIMB), four).steps)).toEqual(['c/one', 'c/2+4']);
    expect(ids(planOf(repeated('loads: [4 ohm]', CLIMB), four).steps)).toEqual(['c/4ohm']);
    const mains = planOf(repeated('mains: [207 V, 230 V]', CLIMB), four);
    expect(ids(mains.steps)).toEqual(['c/207V', 'c/230V']);
    expect(wiredOf(mains).map(({ mains_V, cell }) => [mains_V, cell])).toEqual([
      [207, '207 V mains'],
      [230, '230 V mains'],
    ]);
    expect(mains.estimate.visits).toBe(2);
  });

  it('keeps asks and rests, and gives what has no id one with its place', () => {
    const plan = planOf(
      repeated('driven: [one, all]', 'ask: ready?', 'climb: {frequency: 1 kHz}', 'rest: 1 s'),
      four,
    );
    expect(ids(plan.steps)).toEqual([
      'ask-1.1/one',
      'climb-1.2/one',
      'rest-1.3/one',
      'ask-1.1/all',
      'climb-1.2/all',
      'rest-1.3/all',
    ]);
  });

  it('has levels refer to the climb of the same cell', () => {
    const plan = planOf(repeated('driven: [one, all]', CLIMB, SWEEP), four);
    const sweeps = plan.steps.filter((step): step is SweepStep => step.kind === 'sweep');
    expect(sweeps.map(({ level }) => level)).toEqual([
      { kind: 'mark', climb: 'c/one', percent: 0.1, share: 1 },
      { kind: 'mark', climb: 'c/all', percent: 0.1, share: 1 },
    ]);
  });

  it('can be referred to from outside by the full id, or by the plain one when only one cell has it', () => {
    const outside = (level: string, driven = '[one, all]') =>
      planOf(
        `${repeated(`driven: ${driven}`, CLIMB)}  - sweep: {level: ${level}, frequencies: [1 kHz]}\n`,
        four,
      ).steps.at(-1) as SweepStep;
    expect(outside('0.1 % of c/all').level).toMatchObject({ climb: 'c/all' });
    expect(outside('1/8 of 0.1 % of c/all').level).toMatchObject({ climb: 'c/all', share: 0.125 });
    expect(outside('0.1 % of c', '[all]').level).toMatchObject({ climb: 'c/all' });
  });

  it('may refer to a climb before it', () => {
    const text = `name: t\nload: 8 ohm\nsteps:\n  - ${CLIMB}\n  - repeat: {mains: [207 V, 230 V], steps: [{sweep: {level: 1 % of c, frequencies: [1 kHz]}}]}\n`;
    expect((planOf(text, four).steps.at(-1) as SweepStep).level).toMatchObject({ climb: 'c' });
  });

  it('plays driven sets that are the same on a bench once, under the ids of both', () => {
    const plan = planOf(
      `${repeated('driven: [one, two, all]', CLIMB)}  - sweep: {level: 0.1 % of c/all, frequencies: [1 kHz]}\n`,
      bench(2),
    );
    expect(ids(plan.steps)).toEqual(['c/one', 'c/two', 'sweep-2']);
    expect((plan.steps[2] as SweepStep).level).toMatchObject({ climb: 'c/two' });
    expect(plan.warnings).toEqual([
      "repeat-1: 'all' and 'two' are the same channels here, and are played once",
    ]);
  });

  it('leaves out what a bench has too few channels for', () => {
    const plan = planOf(repeated('driven: [one, two, all]', CLIMB), bench(1));
    expect(ids(plan.steps)).toEqual(['c/one']);
    expect(plan.warnings).toEqual([
      "repeat-1: the bench has too few channels for 'two', which is left out",
      "repeat-1: 'all' and 'one' are the same channels here, and are played once",
    ]);
  });

  it.each<[string, string, string[]]>([
    [
      'over nothing',
      `name: t\nload: 8 ohm\nsteps:\n  - repeat: {steps: [{${CLIMB}}]}\n`,
      ['4:5: steps[1].repeat: nothing to repeat over; give one or more of loads, driven and mains'],
    ],
    [
      'without steps',
      'name: t\nload: 8 ohm\nsteps:\n  - repeat: {loads: [8 ohm]}\n',
      ['4:13: steps[1].repeat.steps: is missing'],
    ],
    [
      'inside a repeat',
      repeated('driven: [one]', 'repeat: {loads: [8 ohm], steps: [{rest: 1 s}]}'),
      [
        '7:11: steps[1].repeat.steps[1].repeat: a repeat inside a repeat; give loads, driven and mains to one repeat',
      ],
    ],
    [
      'whose step sets what is repeated',
      repeated('driven: [one]', 'climb: {frequency: 1 kHz, driven: all, load: 4 ohm}'),
      [
        "7:37: steps[1].repeat.steps[1].climb.driven: 'driven' is set by the repeat around this step; leave it out here",
      ],
    ],
    [
      'over a load twice',
      repeated('loads: [8 ohm, 4 ohm, 8.00 ohm]', CLIMB),
      ['5:29: steps[1].repeat.loads[3]: 8 ohm is listed twice; list each once'],
    ],
    [
      'over mains twice',
      repeated('mains: [230 V, 230 V]', CLIMB),
      ['5:22: steps[1].repeat.mains[2]: 230.0 V is listed twice; list each once'],
    ],
    [
      'over a load that the bench lacks',
      repeated('loads: [8 ohm, 2 ohm]', CLIMB),
      [
        '5:22: steps[1].repeat.loads[2]: the bench has no load of 2 ohm for every driven channel; channel 1 has 8 ohm, 4 ohm; channel 2 has 8 ohm, 4 ohm; channel 3 has 8 ohm, 4 ohm; channel 4 has 8 ohm, 4 ohm',
      ],
    ],
    [
      'over a channel that the bench lacks',
      repeated('driven: [one, [1, 9]]', CLIMB),
      ['5:21: steps[1].repeat.driven[2]: channel 9 is to be driven; the bench has channels 1 to 4'],
    ],
    [
      'over an empty list',
      repeated('loads: []', CLIMB),
      ['5:14: steps[1].repeat.loads: the list is empty; give at least one'],
    ],
    [
      'over a load without unit',
      repeated('loads: [8]', CLIMB),
      [
        '5:15: steps[1].repeat.loads[1]: expected a resistance such as 8 ohm or 100 mohm, got the bare number 8; give the unit',
      ],
    ],
    [
      'over mains that no socket has',
      repeated('mains: [5 kV]', CLIMB),
      ["5:15: steps[1].repeat.mains[1]: expected a voltage such as 2.83 V or 500 mV, got '5 kV'"],
    ],
    [
      'with an unknown key',
      repeated('load: [8 ohm]', CLIMB),
      ["5:7: steps[1].repeat.load: unknown key 'load'; did you mean 'loads'?"],
    ],
    [
      'that is referred to by a name that several cells have',
      `${repeated('driven: [one, all]', CLIMB)}  - sweep: {level: 0.1 % of c, frequencies: [1 kHz]}\n`,
      ["8:20: steps[2].sweep.level: there are 2 climbs 'c', one a cell of a repeat; name one: c/one, c/all"],
    ],
    [
      'that is referred to by a cell that it has not',
      `${repeated('driven: [one, all]', CLIMB)}  - sweep: {level: 0.1 % of c/two, frequencies: [1 kHz]}\n`,
      ["8:20: steps[2].sweep.level: 'c/two' names no cell of the repeat of 'c'; its cells: c/one, c/all"],
    ],
    [
      'that is referred to with other channels',
      `${repeated('driven: [one, all]', CLIMB)}  - sweep: {level: 0.1 % of c/one, frequencies: [1 kHz]}\n`,
      [
        "8:20: steps[2].sweep.level: 'c/one' drove channels 1, this sweep drives 1, 2, 3, 4; climb with the same channels driven first",
      ],
    ],
    [
      'with an id that is taken outside',
      `${repeated('driven: [one]', CLIMB)}  - climb: {id: c, frequency: 1 kHz}\n`,
      ["8:17: steps[2].climb.id: the id 'c' is taken by an earlier step; give each step an id of its own"],
    ],
  ])('%s is refused', (_, text, faults) => {
    expect(faultsOf(text, four)).toEqual(faults);
  });

  it('that comes to more steps than anybody looks through is refused', () => {
    const loads = Array.from({ length: 20 }, (_, i) => `${i + 1} ohm`).join(', ');
    const mains = Array.from({ length: 20 }, (_, i) => `${i + 100} V`).join(', ');
    const text = `name: t\nsteps:\n  - repeat: {loads: [${loads}], mains: [${mains}], driven: [one, two, all], steps: [{${CLIMB}}, {rest: 1 s}]}\n`;
    expect(faultsOf(text, four)).toEqual([
      '3:3: steps: the repeats make 2400 steps; a plan has at most 2000; split the sequence',
    ]);
  });
});

/** One stay of the operator's: a setting of load and mains, channels driven, channels read. */
interface Unit {
  readonly load_ohm: number;
  readonly mains_V: number | null;
  readonly driven: readonly number[];
  readonly measured: readonly number[];
}

const permutations = <T>(list: readonly T[]): T[][] =>
  list.length === 0
    ? [[]]
    : list.flatMap((item, i) => permutations(list.filter((_, j) => j !== i)).map((rest) => [item, ...rest]));

/**
 * The fewest visits in which units can be played in this order by an operator who knows what comes: at each visit
 * anything may be changed, and every input that no unit needs just now is tapped for the next one that needs it.
 */
function visitsOf(order: readonly Unit[], on: BenchFacts): number {
  const inputOf = (channel: number) => on.channels[channel - 1]!.input;
  const mayShare = (stay: readonly Unit[]) => {
    const taps = new Map<number, number>();
    return stay.every(
      (unit) =>
        unit.load_ohm === stay[0]!.load_ohm &&
        unit.mains_V === stay[0]!.mains_V &&
        unit.measured.every((channel) => {
          const there = taps.get(inputOf(channel)) ?? channel;
          taps.set(inputOf(channel), channel);
          return there === channel;
        }),
    );
  };
  let [visits, stay]: [number, Unit[]] = [0, []];
  for (const unit of order) {
    if (stay.length > 0 && mayShare([...stay, unit])) stay.push(unit);
    else [visits, stay] = [visits + 1, [unit]];
  }
  return visits;
}

describe('the order of a repeat', () => {
  const cases: [string, readonly number[]][] = [
    ['loads: [8 ohm, 4 ohm]\n      driven: [one, two, all]', [1, 2, 3]],
    ['loads: [8 ohm, 4 ohm]\n      mains: [207 V, 230 V]\n      driven: [one]', [1, 2]],
    ['driven: [one, two, all]', [1, 2, 1, 2]],
    ['driven: [[3], one, all]', [1, 2, 1, 2]],
    ['driven: [all, [1, 4], [3], [2]]', [1, 2, 1, 2]],
    ['loads: [8 ohm, 4 ohm]\n      driven: [one, all]', [1, 2, 1, 2]],
    ['mains: [207 V, 230 V]\n      driven: [[4], all]', [1, 1, 2, 2]],
    ['loads: [8 ohm, 4 ohm]\n      driven: [all]', [1, 1, 1]],
  ];
  it.each(cases)(
    'asks for no more visits than any other order would: %j with inputs %j',
    (dimensions, inputs) => {
      const on = bench84(inputs);
      const plan = planOf(repeated(dimensions, 'climb: {frequency: 1 kHz}'), on);
      const units: Unit[] = wiredOf(plan);
      const fewest = Math.min(...permutations(units).map((order) => visitsOf(order, on)));
      expect(units.length).toBeGreaterThan(1);
      expect(plan.estimate.visits).toBe(fewest);
      expect(visitsOf(units, on)).toBe(fewest);
    },
  );
});

describe('every repeat', () => {
  const some = <T>(...values: T[]) => fc.subarray(values, { minLength: 1 });
  const setting = fc.record({
    loads: fc.option(some('8 ohm', '4 ohm')),
    mains: fc.option(some('207 V', '230 V')),
    driven: fc.option(some('one', 'two', 'all', '[2]', '[1, 3]', '[3, 2]')),
    inputs: fc.array(fc.integer({ min: 1, max: 3 }), { minLength: 3, maxLength: 5 }),
    steps: some(SWEEP, 'warm-up: {level: 1 W, for: 10 s}', 'rest: 1 s', 'quiet: {for: 2 s}', 'ask: well?'),
  });

  it('gives a plan in which every channel of every cell is read once a step, ids are unique and levels known', () => {
    fc.assert(
      fc.property(setting, ({ loads, mains, driven, inputs, steps }) => {
        const dimensions = Object.entries({ loads, mains, driven }).filter(([, values]) => values !== null);
        fc.pre(dimensions.length > 0);
        const text = repeated(
          dimensions.map(([key, values]) => `${key}: [${values!.join(', ')}]`).join('\n      '),
          CLIMB,
          ...steps,
        );
        const plan = planOf(text, bench84(inputs));
        expect(new Set(ids(plan.steps)).size).toBe(plan.steps.length);
        const done: PlanStep[] = [];
        let before: WiredStep | null = null;
        let visits = 0;
        for (const step of plan.steps) {
          if (step.kind === 'ask') visits += 1;
          if (step.kind === 'ask' || step.kind === 'rest') continue;
          const used = step.measured.map((channel) => inputs[channel - 1]);
          expect(new Set(used).size).toBe(used.length);
          for (const channel of step.measured) expect(step.driven).toContain(channel);
          for (const channel of step.driven) expect(step.wired).toContain(channel);
          for (const channel of step.measured)
            if (step.taps) expect(step.taps).toContainEqual({ input: inputs[channel - 1], channel });
          if (operatorChange(step, before)) visits += 1;
          if (step.kind === 'sweep' && step.level.kind === 'mark') {
            const { climb } = step.level;
            expect(done.find(({ id }) => id === climb)).toMatchObject({
              kind: 'climb',
              load_ohm: step.load_ohm,
              mains_V: step.mains_V,
              driven: step.driven,
              measured: step.measured,
            });
          }
          done.push(step);
          before = step;
        }
        expect(plan.estimate.visits).toBe(visits);
        const cells = new Map<string, number[]>();
        for (const climb of wiredOf(plan).filter(({ kind }) => kind === 'climb')) {
          const key = JSON.stringify([climb.load_ohm, climb.mains_V, climb.driven]);
          cells.set(key, [...(cells.get(key) ?? []), ...climb.measured]);
        }
        for (const [key, read] of cells) expect([...read].sort((a, b) => a - b)).toEqual(JSON.parse(key)[2]);
      }),
      { seed: 4, numRuns: 400 },
    );
  });
});

describe('passes of taps', () => {
  it('go through a stretch of steps once for each position, and come back the way they went', () => {
    const text = `name: t\nload: 8 ohm\nsteps:\n  - warm-up: {id: w, level: 1 W, for: 1 min}\n  - ${CLIMB}\n  - rest: 1 s\n  - ${SWEEP}\n  - climb: {id: d, frequency: 1 kHz, load: 4 ohm}\n`;
    const plan = planOf(text, bench84([1, 2, 1, 2]));
    expect(ids(plan.steps)).toEqual([
      'w',
      'c/taps-1+2',
      'rest-3',
      's/taps-1+2',
      'c/taps-3+4',
      'rest-3/pass-2',
      's/taps-3+4',
      'd/taps-3+4',
      'd/taps-1+2',
    ]);
    expect(wiredOf(plan).every(({ driven }) => driven.join() === '1,2,3,4')).toBe(true);
    expect(wiredOf(plan)[0]!.measured).toEqual([1, 2]);
    // At the start, from 1 and 2 to 3 and 4, the load, and back to 1 and 2.
    expect(plan.estimate.visits).toBe(4);
  });

  it('keep to both sides of a question, so that its answer stands where it was asked', () => {
    const text = `name: t\nload: 8 ohm\nsteps:\n  - ${CLIMB}\n  - ask: still cool?\n  - climb: {id: d, frequency: 2 kHz}\n`;
    expect(ids(planOf(text, bench84([1, 1])).steps)).toEqual([
      'c/taps-1',
      'c/taps-2',
      'ask-2',
      'd/taps-2',
      'd/taps-1',
    ]);
  });

  it('listen to every channel in silence before any of them is driven', () => {
    const text = `name: t\nload: 8 ohm\nsteps:\n  - quiet: {id: q, for: 1 s}\n  - ${CLIMB}\n  - quiet: {id: r, for: 1 s}\n`;
    expect(ids(planOf(text, bench84([1, 1])).steps)).toEqual([
      'q/taps-1',
      'q/taps-2',
      'c/taps-2',
      'c/taps-1',
      'r/taps-1',
      'r/taps-2',
    ]);
  });

  it('are not needed while the channels that share an input are never driven both', () => {
    const text = `name: t\nload: 8 ohm\ndriven: [1, 4]\nsteps:\n  - ${CLIMB}\n`;
    const [step] = wiredOf(planOf(text, bench84([1, 2, 1, 2])));
    expect(step).toMatchObject({ id: 'c', driven: [1, 4], measured: [1, 4] });
    expect(step).not.toHaveProperty('taps');
  });

  it('move the current shunts along', () => {
    const tap = { input: 3, fullScale_Vpk: 1, shunt_ohm: 0.1, stated: null };
    const on = bench(2, {
      channels: [1, 2].map((channel) => chain(channel, { current: tap, loads: [load(8)] })),
    });
    const text = `name: t\nload: 8 ohm\nsteps:\n  - ${CLIMB}\n`;
    expect(wiredOf(planOf(text, on)).map(({ measured, taps }) => [measured, taps])).toEqual([
      [
        [1],
        [
          { input: 1, channel: 1 },
          { input: 3, channel: 1, shunt: true },
        ],
      ],
      [
        [2],
        [
          { input: 1, channel: 1 },
          { input: 2, channel: 2 },
          { input: 3, channel: 2, shunt: true },
        ],
      ],
    ]);
  });
});
