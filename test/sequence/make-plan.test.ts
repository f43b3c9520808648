import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { DocumentError } from '../../src/schema/document-error.js';
import type { BenchFacts } from '../../src/sequence/bench-facts.js';
import { makePlan } from '../../src/sequence/make-plan.js';
import { readSequence } from '../../src/sequence/sequence-file.js';
import type { ClimbStep } from '../../src/steps/climb/plan.js';
import type { SweepStep } from '../../src/steps/sweep/plan.js';
import { bench, chain, load } from './bench-fixture.js';

const planOf = (text: string, on: BenchFacts) => makePlan(readSequence(text, 's.yaml'), on);
const shipped = (name: string) =>
  readFileSync(new URL(`../../sequences/${name}.yaml`, import.meta.url), 'utf8');

function complaint(text: string, on: BenchFacts = bench(2)): string {
  try {
    planOf(text, on);
  } catch (error) {
    if (error instanceof DocumentError) return error.message;
    throw error;
  }
  throw new Error('the sequence was accepted');
}

/** A sequence of the given steps into 8 ohm. */
const into8 = (...steps: string[]) =>
  `name: t\nload: 8 ohm\nsteps:\n${steps.map((step) => `  - ${step}\n`).join('')}`;

describe('makePlan', () => {
  it('lays rated-power out for 1 to 64 channels', () => {
    for (const channels of [1, 2, 7, 64]) {
      const plan = planOf(shipped('rated-power'), bench(channels));
      const [climb, rest, sweep] = plan.steps as [ClimbStep, { kind: string }, SweepStep];
      expect(climb).toMatchObject({
        kind: 'climb',
        id: 'climb-1k',
        load_ohm: 8,
        from_W: 0.05,
        most_W: 250,
        marks_percent: [0.1, 1],
        stop_percent: 1,
      });
      expect(climb.driven).toHaveLength(channels);
      expect(rest.kind).toBe('rest');
      expect(sweep.level).toEqual({ kind: 'mark', climb: 'climb-1k', percent: 0.1, share: 1 });
      expect(sweep.tones).toHaveLength(31);
      expect(plan.warnings).toEqual([]);
    }
  });

  it('plays the ends of a band at or outside its limits', () => {
    const plan = planOf(shipped('rated-power'), bench(1));
    const { tones } = plan.steps[2] as SweepStep;
    expect(tones[0]!.frequency_Hz).toBeLessThanOrEqual(20);
    expect(tones[0]!.frequency_Hz).toBeGreaterThan(19.5);
    expect(tones[30]!.frequency_Hz).toBeGreaterThanOrEqual(20_000);
    expect(tones[30]!.frequency_Hz).toBeLessThan(20_003);
  });

  it('lays quick-look out with five frequencies at an eighth of the power', () => {
    const [climb, sweep] = planOf(shipped('quick-look'), bench(2)).steps as [ClimbStep, SweepStep];
    expect(sweep.level).toMatchObject({ share: 0.125, percent: 0.1 });
    expect(sweep.tones.map((tone) => tone.nominal_Hz)).toEqual([20, 100, 1000, 10_000, 20_000]);
    expect(sweep.most_W).toBe(climb.most_W / 8);
  });

  it('lets a step override load, driven channels and band', () => {
    const on = bench(3, {
      channels: [1, 2, 3].map((channel) => chain(channel, { loads: [load(8), load(4, { rating_W: 100 })] })),
    });
    const plan = planOf(
      into8(
        'climb: {frequency: 1 kHz, load: 4 ohm, driven: [3, 1], band: 20 Hz to 22 kHz}',
        'rest: 5 min',
        'ask: go on',
      ),
      on,
    );
    expect(plan.steps[0]).toMatchObject({
      id: 'climb-1',
      load_ohm: 4,
      driven: [1, 3],
      band: [20, 22_000],
      most_W: 100,
    });
    expect(plan.steps[1]).toEqual({ kind: 'rest', id: 'rest-2', seconds: 300 });
    expect(plan.steps[2]).toEqual({
      kind: 'ask',
      id: 'ask-3',
      text: 'go on',
      confirms: [],
      onceConnected: false,
    });
  });

  it('knows the words two and one for channels', () => {
    const steps = planOf(
      into8('climb: {frequency: 1 kHz, driven: two}', 'climb: {frequency: 1 kHz, driven: one}'),
      bench(7),
    ).steps as ClimbStep[];
    expect(steps.map((step) => step.driven)).toEqual([[1, 2], [1]]);
  });

  it('never goes above what load, attenuator and input can take when the bench decides', () => {
    const climb = (changes: Parameters<typeof chain>[1]) =>
      (
        planOf(into8('climb: {frequency: 1 kHz}'), bench(1, { channels: [chain(1, changes)] }))
          .steps[0] as ClimbStep
      ).most_W;
    expect(climb({})).toBe(250);
    expect(climb({ attenuatorRating_Vpk: 40 })).toBeCloseTo(100, 10);
    // 1 dB below the 40 V peak that the input can read: 100 W less 1 dB.
    expect(climb({ attenuator_ratio: 10 })).toBeCloseTo(79.43, 2);
    expect(climb({ loads: [load(8, { rating_W: 60 })] })).toBe(60);
  });

  it('computes the worst case with measured ohms', () => {
    // 100 W into 8 ohm: 28.28427 V, 40 V peak, 5 A peak (Ohm and Joule; P = V²/R).
    const plan = planOf(into8('sweep: {level: 100 W, frequencies: [1 kHz, 2 kHz], hold: drive}'), bench(2));
    const { worst, points, visits, seconds } = plan.estimate;
    expect(worst.voltage_Vrms).toBeCloseTo(20 * Math.SQRT2, 10);
    expect(worst.voltage_Vpk).toBeCloseTo(40, 10);
    expect(worst.current_Apk).toBeCloseTo(5, 10);
    expect(worst).toMatchObject({ power_W: 100, total_W: 200 });
    // Of the time, 20 s go to connecting the loads.
    expect(worst.heat_J).toBeCloseTo(100 * (seconds - 20), 6);
    expect(points).toBe(2);
    expect(visits).toBe(1);
  });

  it('counts asks and changes of load as visits, and no change of the driven channels', () => {
    const on = bench(2, { channels: [1, 2].map((channel) => chain(channel, { loads: [load(8), load(4)] })) });
    const climb = (more: string) => `climb: {frequency: 1 kHz, ${more}}`;
    const plan = planOf(
      into8(
        'ask: ready?',
        climb('driven: one'),
        climb('driven: all'),
        climb('driven: one'),
        climb('load: 4 ohm'),
      ),
      on,
    );
    expect(plan.estimate.visits).toBe(3);
  });

  it('warns, without refusing, when the interface could not drive the unit that far', () => {
    const on = bench(1, { assumedGain_dB: 20 });
    const plan = planOf(into8('sweep: {level: 200 W, frequencies: [1 kHz]}'), on);
    expect(plan.warnings).toEqual([
      "sweep-1: even a unit with 20 dB of gain will not give 200.0 W from the interface's full output on channel 1",
    ]);
  });

  it('keeps text and hash of the file', () => {
    const plan = planOf(shipped('rated-power'), bench(1));
    expect(plan.sequence.text).toBe(shipped('rated-power'));
    expect(plan.sequence.sha256).toMatch(/^[0-9a-f]{64}$/);
  });
});

describe('a sequence that cannot be laid out', () => {
  const climb = 'climb: {id: c, frequency: 1 kHz}';
  it.each<[string, string, BenchFacts, string]>([
    [
      'a frequency above half the rate',
      into8('climb: {frequency: 30 kHz}'),
      bench(1),
      "s.yaml:4:24: steps[1].climb.frequency: 30 kHz is not below half the sample rate; at 48 kHz stay at or below 21.76 kHz, or raise the bench's rate",
    ],
    [
      'a band whose end is above half the rate',
      into8('sweep: {level: 1 W, frequencies: R10 from 20 Hz to 40 kHz}'),
      bench(1),
      '40 kHz is not below half the sample rate',
    ],
    [
      "a threshold below the bench's floor",
      into8('climb: {frequency: 1 kHz, marks: [0.0001 %, 1 %]}'),
      bench(1),
      's.yaml:4:39: steps[1].climb.marks[1]: the mark of 0.0001 % is not above what the bench reads by itself; its floor is 0.0005 %',
    ],
    [
      'a mark above the stop',
      into8('climb: {frequency: 1 kHz, marks: [0.1 %, 3 %], stop: 1 %}'),
      bench(1),
      's.yaml:4:46: steps[1].climb.marks[2]: the mark of 3 % lies above the stop at 1 %',
    ],
    [
      'a start above the top',
      into8('climb: {frequency: 1 kHz, from: 20 W, to: 10 W}'),
      bench(1),
      's.yaml:4:37: steps[1].climb.from: from 20.0 W is not below the top of this step; the top is 10.0 W',
    ],
    [
      "more than the load's rating",
      into8('climb: {frequency: 1 kHz, to: 300 W}'),
      bench(1),
      's.yaml:4:35: steps[1].climb.to: 300.0 W is more than the bench can take; channel 1: the load is rated 250.0 W',
    ],
    [
      "a sweep above the load's rating, given in volts",
      into8('sweep: {level: 50 V, frequencies: [1 kHz]}'),
      bench(1),
      's.yaml:4:20: steps[1].sweep.level: 312.5 W is more than the bench can take; channel 1: the load is rated 250.0 W',
    ],
    [
      'more volts than the attenuator takes',
      into8('climb: {frequency: 1 kHz, to: 200 W}'),
      bench(1, { channels: [chain(1, { attenuatorRating_Vpk: 50 })] }),
      'channel 1: the attenuator is rated 50.0 V peak, which is 156.3 W into 8 ohm',
    ],
    [
      'more volts than the input can read',
      into8('climb: {frequency: 1 kHz, to: 200 W}'),
      bench(1, { channels: [chain(1, { attenuator_ratio: 10 })] }),
      'channel 1: the input reads up to 40.0 V peak, which is 100.0 W into 8 ohm',
    ],
    [
      'a driven channel that the bench lacks',
      into8('climb: {frequency: 1 kHz, driven: [1, 5]}'),
      bench(2),
      's.yaml:4:39: steps[1].climb.driven: channel 5 is to be driven; the bench has channels 1 to 2',
    ],
    [
      'two channels on a bench with one',
      into8('climb: {frequency: 1 kHz, driven: two}'),
      bench(1),
      'the bench has one channel',
    ],
    [
      'a load that the bench lacks',
      into8('climb: {frequency: 1 kHz, load: 2 ohm}'),
      bench(1),
      's.yaml:4:37: steps[1].climb.load: the bench has no load of 2 ohm for every driven channel; channel 1 has 8 ohm',
    ],
    [
      'no load at all',
      'name: t\nsteps: [{climb: {frequency: 1 kHz}}]',
      bench(1),
      "no load is given; add 'load: 8 ohm'",
    ],
    [
      'a climb that is not there',
      into8(climb, 'sweep: {level: 0.1 % of d, frequencies: [1 kHz]}'),
      bench(1),
      "s.yaml:5:20: steps[2].sweep.level: there is no climb with the id 'd'; climbs before this sweep: c",
    ],
    [
      'a climb that comes later',
      into8('sweep: {level: 0.1 % of c, frequencies: [1 kHz]}', climb),
      bench(1),
      "the climb 'c' comes after this sweep; put the climb first",
    ],
    [
      'a climb with other channels',
      into8(climb, 'sweep: {level: 0.1 % of c, driven: one, frequencies: [1 kHz]}'),
      bench(2),
      "'c' drove channels 1, 2, this sweep drives 1",
    ],
    [
      'a mark that the climb does not make',
      into8(climb, 'sweep: {level: 0.5 % of c, frequencies: [1 kHz]}'),
      bench(1),
      "'c' has no mark at 0.5 %; it marks 0.1 %, 1 %",
    ],
    [
      'an id used twice',
      into8(climb, climb),
      bench(1),
      "s.yaml:5:17: steps[2].climb.id: the id 'c' is taken by an earlier step",
    ],
    ['no steps', 'name: t\nload: 8 ohm\nsteps: []', bench(1), 's.yaml:3:8: steps: the list is empty'],
    ['an empty step', into8('climb: {}'), bench(1), 'steps[1].climb.frequency: is missing'],
    ['an unknown step', into8('clim: {}'), bench(1), 's.yaml:4:5: steps[1].clim: not a known step'],
    ['two steps in one', into8('{rest: 1 s, ask: x}'), bench(1), 'more than one kind of step in one item'],
    [
      'a share above one',
      into8(climb, 'sweep: {level: 3/2 of 0.1 % of c, frequencies: [1 kHz]}'),
      bench(1),
      'expected a share above 0 and up to 1',
    ],
    ['a program', into8('ask: x').concat('program: /bin/sh\n'), bench(1), "unknown key 'program'"],
    [
      'a path as id',
      into8('climb: {id: ../../etc/passwd, frequency: 1 kHz}'),
      bench(1),
      'not a name to refer to',
    ],
    [
      'a frequency outside the band',
      into8('climb: {frequency: 1 kHz, band: 2 kHz to 20 kHz}'),
      bench(1),
      '1 kHz lies outside the measuring band',
    ],
    [
      'an empty band',
      into8('climb: {frequency: 1 kHz, band: 20 kHz to 20 Hz}'),
      bench(1),
      "the band '20 kHz to 20 Hz' is empty",
    ],
    [
      'a frequency below 1 Hz',
      into8('climb: {frequency: 0.1 Hz}'),
      bench(1),
      'expected a frequency of at least 1 Hz',
    ],
    [
      'a band from next to nothing',
      into8('sweep: {level: 1 W, frequencies: R10 from 1e-9 Hz to 20 kHz}'),
      bench(1),
      'begins below 1 Hz',
    ],
    ['a bare number', into8('climb: {frequency: 1000}'), bench(1), 'got the bare number 1000; give the unit'],
    ['a rest without end', into8('rest: 400 h'), bench(1), 'expected a time of at most'],
  ])('%s is refused', (_, text, on, message) => {
    expect(complaint(text, on)).toContain(message);
  });

  it('reports faults of the file and contradictions with the bench all at once', () => {
    const text = [
      'name: t',
      'lod: 8 ohm',
      'load: 8 ohm',
      'steps:',
      '  - climb: {id: c, frequency: 30 kHz, to: 9 kW, stop: 1}',
      '  - sweep: {level: 0.1 % of c, frequencies: R10 from 20 Hz to 90 kHz, drivn: all}',
      '  - rest: soon',
      '  - climb: {frequency: 1 kHz, driven: [9]}',
    ].join('\n');
    expect(complaint(text, bench(1)).split('\n')).toEqual([
      's.yaml has 8 faults:',
      "  s.yaml:2:1: lod: unknown key 'lod'; did you mean 'load'?",
      expect.stringContaining(
        's.yaml:5:31: steps[1].climb.frequency: 30 kHz is not below half the sample rate',
      ),
      expect.stringContaining('s.yaml:5:43: steps[1].climb.to: 9.00 kW is more than the bench can take'),
      expect.stringContaining('s.yaml:5:55: steps[1].climb.stop: expected a percentage'),
      expect.stringContaining(
        's.yaml:6:45: steps[2].sweep.frequencies: 90 kHz is not below half the sample rate',
      ),
      expect.stringContaining(
        "s.yaml:6:71: steps[2].sweep.drivn: unknown key 'drivn'; did you mean 'driven'?",
      ),
      expect.stringContaining(
        "s.yaml:7:11: steps[3].rest: expected a time such as 30 s or 5 min, got 'soon'",
      ),
      expect.stringContaining(
        's.yaml:8:39: steps[4].climb.driven: channel 9 is to be driven; the bench has one channel',
      ),
    ]);
  });
});

describe('a question', () => {
  const planned = (ask: string) =>
    makePlan(readSequence(`name: q\nsteps:\n  - ask: ${ask}\n`, 's.yaml'), bench(2)).steps;
  const text = 'Is it warm?';

  it('may say what it confirms, one subject or several', () => {
    expect(planned(text)).toEqual([{ kind: 'ask', id: 'ask-1', text, confirms: [], onceConnected: false }]);
    expect(planned(`{text: ${text}, confirms: ambient}`)).toEqual([
      { kind: 'ask', id: 'ask-1', text, confirms: ['ambient'], onceConnected: false },
    ]);
    expect(planned(`{text: ${text}, confirms: [mains-voltage, mains-frequency]}`)).toMatchObject([
      { confirms: ['mains-voltage', 'mains-frequency'] },
    ]);
  });

  it('is refused with a subject that nobody asks for', () => {
    expect(() => planned(`{text: ${text}, confirms: weather}`)).toThrow(/confirms/);
  });
});

describe('an older name of a step', () => {
  const sequence = (kind: string) =>
    readSequence(
      `name: q\nload: 8 ohm\nsteps:\n  - ${kind}: {threshold: 1 %, frequencies: [1 kHz]}\n  - ${kind}: {threshold: 1 %, frequencies: [2 kHz]}\n`,
      's.yaml',
    );

  it('is read with one line of notice, and keeps the ids that follow from the written word', () => {
    const plan = makePlan(sequence('ceiling'), bench(1));
    expect(plan.steps.map(({ kind, id }) => [kind, id])).toEqual([
      ['max-power', 'ceiling-1'],
      ['max-power', 'ceiling-2'],
    ]);
    expect(plan.warnings).toEqual(["'ceiling' is an older name of the step 'max-power'"]);
  });

  it('is not needed: the name of today is read without a word', () => {
    const plan = makePlan(sequence('max-power'), bench(1));
    expect(plan.steps.map(({ id }) => id)).toEqual(['max-power-1', 'max-power-2']);
    expect(plan.warnings).toEqual([]);
  });
});
