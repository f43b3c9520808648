import { describe, expect, it } from 'vitest';
import type { SignalSource, SoundBlock } from '../../src/bench/bench.js';
import type { BenchSetup } from '../../src/bench/bench-setup.js';
import type { CalibrationRecord, ChannelChain, Load } from '../../src/calibration/chain.js';
import type { Budget } from '../../src/measure/budget.js';
import { limits } from '../../src/measure/budget.js';
import { relativeError } from '../measure/signals.js';
import { clippingUnit, FakeBench, type Through } from './fake-bench.js';
import { type Found, foundIn } from './found.js';
import { benchOf, benchText, type Played, play } from './run.js';

/** 40 V peak at the load is 0.4 of full scale: clipping begins at 100 W into 8 ohm. */
const unit = clippingUnit(1, 0.4);
const CLIMB = `
name: Climb
load: 8 ohm
driven: all
steps:
  - climb: {id: up, frequency: 1 kHz, from: 100 mW, to: 300 W, marks: [0.1 %, 1 %], stop: 1 %}
`;
const SWEEP = `
name: Sweep
load: 8 ohm
driven: all
steps:
  - sweep: {id: band, level: 10 W, frequencies: [100 Hz, 1 kHz, 10 kHz], hold: drive}
`;

const changed = (setup: BenchSetup, chain: Partial<ChannelChain>): BenchSetup => ({
  ...setup,
  channels: setup.channels.map((one) => ({ ...one, ...chain })),
});
const withLoad = (setup: BenchSetup, load: Partial<Load>): BenchSetup => ({
  ...setup,
  channels: setup.channels.map((one) => ({ ...one, loads: one.loads.map((own) => ({ ...own, ...load })) })),
});
const readings = (played: Played) => played.of('point').flatMap((event) => event.readings);
const notes = (played: Played, topic: string) =>
  played
    .of('note')
    .filter((note) => note.topic === topic)
    .map(({ text }) => text);

describe('a chain whose response was recorded', () => {
  const points = [
    { frequency_Hz: 100, level_dB: -0.5, uncertainty_dB: 0.02 },
    { frequency_Hz: 1000, level_dB: 0, uncertainty_dB: 0 },
    { frequency_Hz: 10_000, level_dB: -1, uncertainty_dB: 0.05 },
  ];

  it('has each tone divided by its own level there', async () => {
    const plain = await play(SWEEP, benchOf(benchText(1)), new FakeBench(1, unit));
    const setup = changed(benchOf(benchText(1)), { response: { points } });
    const corrected = await play(SWEEP, setup, new FakeBench(1, unit));
    const raised = readings(corrected).map(
      ({ voltage_V }, i) => 20 * Math.log10(voltage_V / readings(plain)[i]!.voltage_V),
    );
    // Tones stand a few parts in ten thousand beside their nominal frequency.
    [0.5, 0, 1].forEach((level_dB, i) => {
      expect(raised[i]).toBeCloseTo(level_dB, 3);
    });
  });

  it('lets every voltage, power and distortion have an uncertainty, also far from 1 kHz', async () => {
    const unstated = await play(SWEEP, benchOf(benchText(1)), new FakeBench(1, unit));
    expect(readings(unstated).map(({ flags }) => flags.includes('uncalibrated'))).toEqual([
      true,
      false,
      true,
    ]);
    const setup = changed(benchOf(benchText(1, 'floor: 0.0005 %\n')), { response: { points } });
    const stated = readings(await play(SWEEP, setup, new FakeBench(1, unit)));
    const base = 4 * (0.2 ** 2 + 0.1 ** 2) + 0.3 ** 2;
    const response = [0.02, 0, 0.05].map((dB) => (100 * Math.LN10 * dB) / 20);
    stated.forEach(({ uncertainty_W, power_W, voltage_uncertainty_V, thdn_uncertainty_percent }, i) => {
      const expected = 2 * Math.sqrt(base + (2 * response[i]!) ** 2);
      expect((100 * uncertainty_W!) / power_W).toBeCloseTo(expected, 3);
      expect(voltage_uncertainty_V).toBeGreaterThan(0);
      expect(thdn_uncertainty_percent).toBeGreaterThan(0);
    });
  });
});

describe('a load that warms', () => {
  const load = { tempco_per_K: 100e-6, heating_K_per_W: 1.5, thermal_s: 8, warmingLimits: 0.5 };
  const setup = withLoad(benchOf(benchText(1)), load);

  it('has the ohms that the mean of its power gives it, point by point', async () => {
    const played = await play(CLIMB, setup, new FakeBench(1, unit));
    let [mean_W, at_s] = [0, 0];
    let warmest = 0;
    for (const { point, readings: own } of played.of('point')) {
      const { power_W, load_measured_ohm, voltage_V } = own[0]!;
      // Between points nothing passes on this bench; the gain probe before the first is as good as nothing.
      expect(point.at_s).toBeGreaterThanOrEqual(at_s);
      const next = played.of('point').find((later) => later.point.number === point.number + 1);
      const seconds = (next?.point.at_s ?? point.at_s + 0.7) - point.at_s;
      const record_s = 32_768 / 48_000;
      const before = power_W + (mean_W - power_W) * Math.exp(-(seconds - record_s) / 8);
      const during = power_W + ((before - power_W) * 8 * (1 - Math.exp(-record_s / 8))) / record_s;
      if (next) expect(relativeError(load_measured_ohm, 8 * (1 + 1.5e-4 * during))).toBeLessThan(1e-5);
      expect(relativeError(power_W, voltage_V ** 2 / load_measured_ohm)).toBeLessThan(1e-12);
      mean_W = power_W + (mean_W - power_W) * Math.exp(-seconds / 8);
      at_s = point.at_s;
      warmest = Math.max(warmest, load_measured_ohm);
    }
    expect(warmest).toBeGreaterThan(8 * 1.003);
  });

  it('is found less powerful by as much as its ohms have grown', async () => {
    const cold = await play(CLIMB, benchOf(benchText(1)), new FakeBench(1, unit));
    const warm = await play(CLIMB, setup, new FakeBench(1, unit));
    const at01 = (played: Played) => foundIn(played, 'max-power')[0]!.value!;
    const share = at01(warm) / at01(cold);
    expect(share).toBeLessThan(0.998);
    expect(share).toBeGreaterThan(1 / (1 + 1.5e-4 * 105));
  });

  it('cools by itself while another load of its channel is at work', async () => {
    const two = benchText(1).replace(
      'load: {nominal: 8 ohm, rating: 400 W, uncertainty: 0.3 %}',
      'load: [{nominal: 8 ohm, rating: 400 W, uncertainty: 0.3 %}, {nominal: 4 ohm, rating: 400 W, uncertainty: 0.3 %}]',
    );
    const step = (id: string, ohm: number) =>
      `  - sweep: {id: ${id}, load: ${ohm} ohm, level: 20 W, frequencies: [1 kHz], hold: drive}\n`;
    const sequence = `name: Loads\nload: 8 ohm\ndriven: all\nsteps:\n${step('first', 8)}${step('second', 4)}${step('third', 8)}`;
    const played = await play(sequence, withLoad(benchOf(two), load), new FakeBench(1, unit));
    const [first, second, third] = readings(played).map(
      ({ load_measured_ohm, load_ohm }) => load_measured_ohm / load_ohm - 1,
    );
    expect(second).toBeGreaterThan(0);
    // The 4 ohm load starts cold; the 8 ohm load has kept a part of its own warmth.
    expect(second! / first!).toBeLessThan(1.2);
    expect(third!).toBeGreaterThan(first! * 1.3);
  });
});

/** Gives the current shunts of all channels what a load of so many ohms would take. */
class SensingBench extends FakeBench {
  constructor(
    through: Through,
    private readonly load_ohm: number,
  ) {
    super(1, through);
  }

  override async *play(source: SignalSource): AsyncGenerator<SoundBlock, void, void> {
    for await (const block of super.play(source)) {
      // The load changes after the first play, which is the check of the wiring.
      const load_ohm = this.calls.filter((call) => call === 'play').length > 1 ? this.load_ohm : 8;
      // Full scale is 100 V at the load; at the current shunt it is 2 V peak over 0.1 ohm.
      const currents = block.channels.map((samples) =>
        samples.map((sample) => (sample * 100 * 0.1) / load_ohm / 2),
      );
      yield { ...block, currents };
    }
  }
}

describe('a channel with a current shunt', () => {
  const current = {
    input: 2,
    fullScale_Vpk: 2,
    shunt_ohm: 0.1,
    stated: [limits('current shunt 1: meter', 0.3)],
  };
  const setup = changed(benchOf(benchText(1)), { current });
  const sensed = async (load_ohm: number) =>
    readings(await play(SWEEP, setup, new SensingBench(unit, load_ohm)));

  it('reads current and ohms while the unit works', async () => {
    for (const { load_seen_ohm, current_A, voltage_V, flags } of await sensed(8)) {
      expect(relativeError(load_seen_ohm!, 8)).toBeLessThan(1e-9);
      expect(relativeError(current_A!, voltage_V / 8)).toBeLessThan(1e-6);
      expect(flags).not.toContain('load-differs');
    }
  });

  it('notices a load by more than its uncertainty near 1 kHz, and by more than 5 % elsewhere', async () => {
    const flagged = async (load_ohm: number) =>
      (await sensed(load_ohm)).map(({ flags }) => flags.includes('load-differs'));
    // 2 root of (0.2^2 + 0.1^2 + 0.3^2 + 0.3^2 / 3) = 0.824 %.
    expect(await flagged(8 * 1.008)).toEqual([false, false, false]);
    expect(await flagged(8 * 1.009)).toEqual([false, true, false]);
    expect(await flagged(8 * 1.06)).toEqual([true, true, true]);
    expect(await flagged(5.8)).toEqual([true, true, true]);
  });

  it('ends the run before a point is kept where it shows the ohms of another load', async () => {
    const played = await play(SWEEP, setup, new SensingBench(unit, 4));
    expect(played.of('point')).toEqual([]);
    expect(played.of('ended')).toMatchObject([
      {
        outcome: 'tripped',
        reason:
          'channel 1: the current shunt shows 4 ohm where the load of 8 ohm is meant: another load is connected',
      },
    ]);
  });

  it('notices an open load, which shows no ohms at all', async () => {
    for (const { load_seen_ohm, current_A, flags } of await sensed(Number.POSITIVE_INFINITY)) {
      expect(load_seen_ohm).toBeNull();
      expect(current_A).toBe(0);
      expect(flags).toContain('load-differs');
    }
  });
});

describe('what a run takes for granted', () => {
  const record: CalibrationRecord = {
    id: 'old-input',
    kind: 'input',
    date: '2030-01-01',
    due: '2031-01-01',
    text: 'kind: input',
    sha256: '0'.repeat(64),
  };

  it('is said once, at its beginning', async () => {
    const played = await play(SWEEP, benchOf(benchText(1)), new FakeBench(1, unit));
    const said = notes(played, 'assumption');
    expect(said.filter((text) => text.includes('the frequency response is assumed flat'))).toHaveLength(1);
    expect(said.filter((text) => text.includes('residual of the bench is not stated'))).toHaveLength(1);
    expect(played.events.findIndex(({ kind }) => kind === 'note')).toBeLessThan(
      played.events.findIndex(({ kind }) => kind === 'step-entered'),
    );
  });

  it('names a record past its due date, by the day on which the bench file was read, and flags what rests on it', async () => {
    const setup = changed(benchOf(benchText(1)), { records: [record] });
    const late = await play(SWEEP, { ...setup, day: '2031-01-02' }, new FakeBench(1, unit));
    expect(notes(late, 'calibration')).toEqual([
      'The input record old-input was due on 2031-01-01: its values may have moved.',
    ]);
    expect(readings(late).every(({ flags }) => flags.includes('calibration-overdue'))).toBe(true);
    const good = await play(SWEEP, { ...setup, day: '2031-01-01' }, new FakeBench(1, unit));
    expect(notes(good, 'calibration')).toEqual([]);
    expect(readings(good).some(({ flags }) => flags.includes('calibration-overdue'))).toBe(false);
  });
});

describe('the findings of a climb and of a sweep', () => {
  const budgetOf = ({ budgets }: Found, quantity: Budget['quantity']) =>
    budgets.find((budget) => budget.quantity === quantity);

  it('carry budgets, of which the power has its uncertainty', async () => {
    const played = await play(CLIMB, benchOf(benchText(1, 'floor: 0.0001 %\n')), new FakeBench(1, unit));
    const marks = foundIn(played, 'max-power');
    expect(marks).toHaveLength(2);
    for (const mark of marks) {
      expect(mark.budgets.map(({ quantity }) => quantity)).toEqual(['power', 'voltage', 'thdn', 'frequency']);
      const power = budgetOf(mark, 'power')!;
      expect(power.value).toBe(mark.value);
      expect(power.expanded).toBe(mark.uncertainty);
      expect(budgetOf(mark, 'voltage')!.value).toBeCloseTo(Math.sqrt(mark.value! * 8), 9);
      expect(budgetOf(mark, 'frequency')!.expanded).toBe(0);
      const calibration = 2 * Math.hypot(0.4, 0.2, 0.3);
      expect(power.expanded_percent).toBeGreaterThan(calibration);
      // A hard clipper: THD+N and the bracket hardly matter.
      expect(power.expanded_percent).toBeLessThan(calibration * 1.1);
    }
    const [knee] = foundIn(played, 'knee-power');
    expect(budgetOf(knee!, 'power')!.expanded).toBe(knee!.uncertainty);
    expect(knee!.uncertainty!).toBeGreaterThan(Math.abs(knee!.value! - 100));
  });

  it('have the uncertainty of the very reading that was the worst of a band', async () => {
    const played = await play(SWEEP, benchOf(benchText(1)), new FakeBench(1, unit));
    const [power] = foundIn(played, 'power', 'minimum');
    const [thdn] = foundIn(played, 'thdn', 'maximum');
    const weakest = readings(played).reduce((a, b) => (b.power_W < a.power_W ? b : a));
    expect(power!.uncertainty).toBe(weakest.uncertainty_W);
    expect(budgetOf(power!, 'power')!.expanded).toBe(weakest.uncertainty_W);
    expect(power!.points).toEqual([weakest.point]);
    expect(budgetOf(thdn!, 'thdn')!.value).toBe(thdn!.value);
  });
});
