import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { readBench } from '../../src/bench/bench-file.js';
import { makePlan } from '../../src/sequence/make-plan.js';
import { isEnergised, isWired, type Plan } from '../../src/sequence/plan.js';
import { readSequence } from '../../src/sequence/sequence-file.js';
import type { ClimbStep } from '../../src/steps/climb/plan.js';
import type { HoldStep } from '../../src/steps/hold/plan.js';
import type { MaxPowerStep } from '../../src/steps/max-power/plan.js';
import type { SweepStep } from '../../src/steps/sweep/plan.js';

const folder = (name: string) => new URL(`../../${name}/`, import.meta.url);
const shipped = (name: string) =>
  readdirSync(folder(name))
    .filter((file) => file.endsWith('.yaml'))
    .map((file) => file.slice(0, -'.yaml'.length));
const SEQUENCES = shipped('sequences');
const BENCHES = shipped('benches');

function benchOf(name: string) {
  const { pathname } = new URL(`${name}.yaml`, folder('benches'));
  return readBench(readFileSync(pathname), pathname, undefined, '2026-03-01');
}

function planOf(sequence: string, bench: string, claim_W = 40): Plan {
  const text = readFileSync(new URL(`${sequence}.yaml`, folder('sequences')), 'utf8');
  return makePlan(readSequence(text, sequence), benchOf(bench), {
    claims: [{ power_W: claim_W, load_ohm: null, note: '' }],
  });
}

/** Sequences that need more than loads of 8 ohm make sense only where there are such loads. */
const fits = (sequence: string, bench: string) =>
  !['full-band', 'matrix'].includes(sequence) ||
  benchOf(bench).channels.every(({ loads }) => loads.some(({ nominal_ohm }) => nominal_ohm === 4));
const pairs = SEQUENCES.flatMap((sequence) =>
  BENCHES.filter((bench) => fits(sequence, bench)).map((bench) => [sequence, bench] as const),
);

/** The rows of the table of what ships: time in seconds from and to, and visits. */
function promised(sequence: string) {
  const readme = readFileSync(new URL('README.md', folder('sequences')), 'utf8');
  const row = readme.split('\n').find((line) => line.startsWith(`| \`${sequence}.yaml\` |`));
  const [, , , time, visits] = row?.split('|').map((cell) => cell.trim()) ?? [];
  const range = /^(?:(\d+) to )?(?:(\d+) h )?(\d+) min$/.exec(time ?? '');
  if (!range) throw new Error(`the README does not say how long ${sequence} takes`);
  const most_s = 60 * Number(range[3]) + 3600 * Number(range[2] ?? 0);
  return { least_s: range[1] ? 60 * Number(range[1]) : most_s, most_s, visits: Number(visits) };
}

describe('the sequences that ship', () => {
  it('are found with the benches', () => {
    expect(SEQUENCES.length).toBeGreaterThanOrEqual(8);
    expect(pairs.length).toBeGreaterThan(50);
    expect(pairs.filter(([sequence]) => sequence === 'full-band').length).toBeGreaterThanOrEqual(2);
  });

  it.each(pairs)(
    '%s can be planned on %s, in the time and with the visits that the README names',
    (sequence, bench) => {
      const { estimate } = planOf(sequence, bench);
      const { least_s, most_s, visits } = promised(sequence);
      expect(estimate.seconds).toBeGreaterThan(0.7 * least_s);
      expect(estimate.seconds).toBeLessThan(1.3 * most_s);
      expect(estimate.visits).toBe(visits);
      expect(estimate.points).toBeGreaterThan(5);
    },
  );

  it('never ask for more than the load takes for ever, and warm no load past its rating', () => {
    for (const [sequence, bench] of pairs) {
      const { channels } = benchOf(bench);
      for (const work of planOf(sequence, bench).estimate.loads) {
        const load = channels[work.channel - 1]!.loads.find(
          ({ nominal_ohm }) => nominal_ohm === work.load_ohm,
        )!;
        expect(work.most_W).toBeLessThanOrEqual(load.rating_W * (1 + 1e-9));
        expect(work.mean_W).toBeLessThanOrEqual(load.rating_W);
      }
    }
  });
});

describe('full-band', () => {
  it('finds 31 ceilings for each load and each set of driven channels that the bench has', () => {
    const { steps, estimate } = planOf('full-band', 'switching-treble');
    const ceilings = steps.filter((step): step is MaxPowerStep => step.kind === 'max-power');
    expect(ceilings.map(({ load_ohm, driven }) => `${load_ohm}: ${driven}`)).toEqual([
      '8: 1',
      '8: 1,2',
      '4: 1,2',
      '4: 1',
    ]);
    for (const { tones, threshold_percent, start, id } of ceilings) {
      expect(tones).toHaveLength(31);
      expect(threshold_percent).toBe(0.1);
      expect(start).toMatchObject({ kind: 'mark', climb: id.replace('band', 'climb-1k'), percent: 0.1 });
    }
    expect(estimate.visits).toBe(3);
  });
});

describe('matrix', () => {
  it('finds 31 ceilings into two loads with one, two and all eight channels driven', () => {
    const { steps, estimate } = planOf('matrix', 'installed-eight');
    expect(steps.filter(({ kind }) => kind !== 'ask').map(({ kind }) => kind)).toEqual(
      new Array(6).fill('max-power'),
    );
    const ceilings = steps.filter((step): step is MaxPowerStep => step.kind === 'max-power');
    expect(new Set(ceilings.map(({ load_ohm, driven }) => `${load_ohm}: ${driven.length}`))).toEqual(
      new Set(['8: 1', '8: 2', '8: 8', '4: 1', '4: 2', '4: 8']),
    );
    for (const { tones, threshold_percent, from_W } of ceilings) {
      expect(tones).toHaveLength(31);
      expect(threshold_percent).toBe(0.1);
      expect(from_W).toBe(0.25);
    }
    expect(estimate.visits).toBe(2);
  });
});

describe('us-trade-rule', () => {
  const { steps } = planOf('us-trade-rule', 'stiff-pair', 60);
  const holds = steps.filter((step): step is HoldStep => step.kind === 'hold');

  // 16 CFR 432.2 and 432.3 as set down in the project's facts: preconditioning and dwell as of 2024 from memory.
  it('warms up for an hour at one eighth of the claim at 1 kHz, all channels driven', () => {
    const [warm, ...more] = steps.filter((step): step is HoldStep => step.kind === 'warm-up');
    expect(more).toEqual([]);
    expect(warm).toMatchObject({ level: { kind: 'power', power_W: 7.5 }, seconds: 3600, driven: [1, 2] });
    expect(warm!.tone.nominal_Hz).toBe(1000);
    expect(steps.filter(isWired)[0]).toBe(warm);
  });

  it('holds the claim for five minutes from 20 Hz to 20 kHz, the ends not approached from inside', () => {
    expect(holds).toHaveLength(12);
    for (const hold of holds)
      expect(hold).toMatchObject({ level: { kind: 'power', power_W: 60 }, seconds: 300, load_ohm: 8 });
    const [low, high] = [holds[0]!.tone, holds.at(-1)!.tone];
    expect([low.nominal_Hz, high.nominal_Hz]).toEqual([20, 20_000]);
    expect(low.frequency_Hz).toBeLessThanOrEqual(20);
    expect(high.frequency_Hz).toBeGreaterThanOrEqual(20_000);
  });

  it('looks at every level from 250 mW to the claim for 1 %, at the ends and in the middle', () => {
    const climbs = steps.filter((step): step is ClimbStep => step.kind === 'climb');
    expect(climbs.map(({ tone }) => tone.nominal_Hz)).toEqual([20, 20_000, 1000]);
    for (const climb of climbs)
      expect(climb).toMatchObject({ from_W: 0.25, marks_percent: [1], stop_percent: 1 });
    expect(climbs.slice(0, 2).map(({ most_W }) => most_W)).toEqual([60, 60]);
    expect(climbs[2]!.most_W).toBeGreaterThan(60);
    const sweep = steps.find(({ id }) => id === 'low-end') as SweepStep;
    expect(sweep).toMatchObject({ kind: 'sweep', level: { kind: 'power', power_W: 0.25 } });
    expect(sweep.tones).toHaveLength(31);
  });

  it('ends with the full-band power at 1 %, from the power at 1 kHz on', () => {
    expect(steps.at(-1)).toMatchObject({ kind: 'max-power', threshold_percent: 1, fullBand: true });
    expect((steps.at(-1) as MaxPowerStep).tones).toHaveLength(31);
  });

  it('asks for room, mains and input before anything plays', () => {
    const asks = steps.slice(0, 3).map((step) => (step.kind === 'ask' ? step.text : ''));
    expect(asks[0]).toMatch(/25 °C \(77 °F\)/);
    expect(asks[1]).toMatch(/120 V rms and 60 Hz with less than 2 %/);
    expect(asks[2]).toMatch(/line input/);
  });

  it('has a sibling that says what it leaves out', () => {
    const { about, steps: few } = planOf('us-trade-rule-short', 'stiff-pair', 60);
    for (const words of [
      /Left out/,
      /Preconditioning takes five minutes, not an hour/,
      /not five minutes/,
      /levels/,
      /Room and mains/,
    ])
      expect(about).toMatch(words);
    expect(few.filter(({ kind }) => kind === 'hold').length).toBeLessThan(holds.length);
  });
});

describe('repair-check', () => {
  const { steps } = planOf('repair-check', 'repaired-crossover');

  it('listens for DC and hum before it plays anything, and never asks for more than 5 W', () => {
    expect(steps.filter(isWired)[0]).toMatchObject({ kind: 'quiet', mostDc_V: 0.2, mostNoise_V: 0.02 });
    for (const step of steps.filter(isEnergised)) expect(step.most_W).toBeLessThanOrEqual(5);
  });

  it('never asks for more than a step before it by a factor of 100', () => {
    const powers = steps.filter(isEnergised).map(({ most_W }) => most_W);
    expect(powers[0]).toBe(0.05);
    powers.slice(1).forEach((power_W, i) => {
      expect(power_W).toBeLessThanOrEqual(100 * Math.max(...powers.slice(0, i + 1)));
    });
  });
});
