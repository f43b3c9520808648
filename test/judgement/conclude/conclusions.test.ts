import { describe, expect, test } from 'vitest';
import { answerIsNo, openingOf } from '../../../src/judgement/conclude/conclusions-of.js';
import { judgeRun } from '../../../src/judgement/judged-run.js';
import { causesOfLoss } from '../../../src/measure/cause/cause-of.js';
import type { RunRecord } from '../../../src/record/run-record.js';
import { findingOf } from '../../../src/runner/findings/finding-of.js';
import { dBW } from '../../../src/units/decibel.js';
import type { Device } from '../../reference/devices/device.js';
import { clipper, trueMaxPower } from '../../reference/devices/device.js';
import {
  crossover,
  currentLimitedFilter,
  inputHighPass,
  limiter,
  railSwitch,
  ThermalDevice,
  unregulatedSupply,
} from '../../reference/devices/devices.js';
import { OCTAVES_Hz, playedRun } from '../device-run.js';
import { madeRun } from '../made-run.js';

const sound: Device = { name: 'sound', at: (level) => clipper(100)(10 ** (level / 10)) };
const weaker = (clip_W: number): Device => ({
  name: 'weaker',
  at: (level) => clipper(clip_W)(10 ** (level / 10)),
});

const conclusions = (record: RunRecord, claim: string | null = null) => judgeRun(record, claim).conclusions;
const sentences = (record: RunRecord, claim: string | null = null) =>
  conclusions(record, claim).map(({ role, sentence }) => `${role}: ${sentence}`);
const find = <Code extends string>(record: RunRecord, code: Code, claim: string | null = null) =>
  conclusions(record, claim).filter((one) => one.code === code);

describe('how much power', () => {
  test('over the band it is that of the weakest channel at its weakest frequency, with U, band and rating', () => {
    const record = playedRun({
      channels: [{ device: sound }, { device: currentLimitedFilter(100, 8, 3e-7) }],
      frequencies_Hz: OCTAVES_Hz,
    });
    const [band] = find(record, 'full-band-power');
    const truth = trueMaxPower(
      currentLimitedFilter(100, 8, 3e-7),
      0.1,
      { from_dBW: -13, most_dBW: 24 },
      { frequency_Hz: 20_000 },
    )!;
    expect(band).toMatchObject({ role: 'answer', power: { channel: 2, nominal_Hz: 20_000, bound: 'found' } });
    if (band?.code !== 'full-band-power') throw new Error('no power over the band');
    expect(Math.abs(band.power.power_W - truth)).toBeLessThan(band.power.uncertainty_W!);
    expect(band.sentence).toMatch(
      /^9\d\.\d W ± 0\.5 W per channel at 0\.1 % THD\+N, 20 Hz to 20 kHz, 8 ohm, both channels driven \(limited at 20 kHz, channel 2; measuring band 20 Hz to 80 kHz\)\. Rating 9?\d+ W\.$/,
    );
    expect(band.points.length).toBeGreaterThan(0);
    expect(sentences(record).find((sentence) => sentence.includes('At 1 kHz:'))).toMatch(
      /^answer: At 1 kHz: \d+\.\d W ± 0\.5 W at 0\.1 %, \d+\.\d W ± 0\.\d W at 1 % THD\+N\.$/,
    );
  });

  test('a climb alone gives that at its frequency, and says nothing of a band that nobody asked for', () => {
    const record = playedRun({ channels: [{ device: sound }] });
    expect(find(record, 'no-full-band-power')).toEqual([]);
    expect(openingOf(conclusions(record))).toMatch(
      /^100\.\d W ± 0\.5 W at 0\.1 %, 104\.\d W ± 0\.\d W at 1 % THD\+N, 1 kHz, 8 ohm, channel 1 driven\.$/,
    );
  });

  test('an unregulated supply gives what it gives under load', () => {
    const device = unregulatedSupply(120, 0.1);
    const record = playedRun({ channels: [{ device }] });
    const [at] = find(record, 'power-at');
    const truth = trueMaxPower(device, 0.1, { from_dBW: -13, most_dBW: 24 })!;
    if (at?.code !== 'power-at') throw new Error('no power');
    const { power_W, uncertainty_W } = at.powers[0]!.power;
    expect(Math.abs(power_W - truth)).toBeLessThan(uncertainty_W!);
  });

  test('a limiter gives what it delivers, whatever is requested, and that is told with figures', () => {
    const record = playedRun({ channels: [{ device: limiter(56.5) }] });
    const [at] = find(record, 'power-at');
    expect(at).toMatchObject({ powers: [{ power: { power_W: 56.5, bound: 'found' } }] });
    expect(sentences(record).join('\n')).not.toMatch(/1\d\d(\.\d)? W ±/);
    const [stopped] = find(record, 'stopped-following');
    expect(stopped).toMatchObject({ role: 'warning', stopped: { delivered_W: 56.5, flat: true } });
    expect(stopped!.sentence).toMatch(
      /^At 1 kHz the output of channel 1 stops following the drive: 56\.5 W delivered where the drive calls for 2\d\d W \(6\.\d dB less\), with THD\+N at 0\.003 %\.$/,
    );
  });

  test('of a limiter a claim above it is not met, one below it is', () => {
    const record = playedRun({ channels: [{ device: limiter(56.5) }] });
    const judged = (power: string) =>
      judgeRun(record, `${power}, 8 ohm, 0.1 % THD+N, 1 kHz, 1 channel`).claims[0]!.verdict.verdict;
    expect([judged('100 W'), judged('58 W'), judged('56.5 W'), judged('56 W')]).toEqual([
      ...['not met', 'not met', 'inconclusive', 'met'],
    ]);
  });

  test('an input high-pass costs gain, not power: at 20 Hz the same is delivered by more drive', () => {
    const device = inputHighPass(20);
    const record = playedRun({ channels: [{ device }], frequencies_Hz: [20, 1000], most_dBW: 27 });
    const [bass, middle] = [20, 1000].map((frequency_Hz) =>
      trueMaxPower(device, 0.1, { from_dBW: -13, most_dBW: 27 }, { frequency_Hz }),
    );
    expect(bass).toBeCloseTo(middle!, 1);
    expect(find(record, 'stopped-following')).toEqual([]);
  });
});

describe('the order of answers', () => {
  /** Keeps 0.1 % at no level at 20 kHz, and 1 % up to 100 W. */
  const treble: Device = {
    name: 'treble',
    at: (level, frequency_Hz = 1000) => {
      const { power_W, thdn_percent } = clipper(100)(10 ** (level / 10));
      return { power_W, thdn_percent: Math.hypot(thdn_percent, frequency_Hz > 18_000 ? 0.3 : 0) };
    },
  };
  const run = (sequence: string) =>
    playedRun({ channels: [{ device: treble }], frequencies_Hz: OCTAVES_Hz, sequence });
  const answers = (sequence: string) =>
    conclusions(run(sequence)).flatMap((one) =>
      one.code === 'full-band-power' || one.code === 'no-full-band-power' || one.code === 'climb-ended'
        ? [`${one.code} ${one.limit_percent}`]
        : [],
    );

  test('where the sequence follows a rule, the answer at the limit of the rule leads, and no other was asked', () => {
    expect(answers('protocol: us-trade-rule')).toEqual(['full-band-power 1']);
    const [first] = conclusions(run('protocol: us-trade-rule'));
    expect(first!.sentence).toMatch(/^10\d\.\d W ± 0\.\d W at 1 % THD\+N, 20 Hz to 20 kHz/);
  });

  test('where it states no limit, what was found comes before what was not', () => {
    expect(answers('asks: power')).toEqual(['full-band-power 1', 'no-full-band-power 0.1']);
  });

  test('a few frequencies of the band give a power at 1 kHz first, then how few they are', () => {
    const record = playedRun({
      channels: [{ device: sound }],
      frequencies_Hz: [20, 100, 1000, 10_000, 20_000],
    });
    const said = conclusions(record).filter(({ role }) => role === 'answer');
    expect(said.map(({ code }) => code)).toEqual(['power-at', 'no-full-band-power']);
    expect(said[1]!.sentence).toMatch(
      /^No full-band power at 0\.1 % THD\+N, 8 ohm, channel 1 driven: 5 of 31 frequencies measured; not measured between 20 Hz and 100 Hz/,
    );
  });
});

describe('what lies below the maximum power', () => {
  test.each([
    ['wide', 22, 31],
    ['narrow', 24, 27],
  ])(
    'a %s hump is told before the power, forbids a rating and a claim from a level up, not the power',
    (_, from, to) => {
      const record = playedRun({
        channels: [{ device: railSwitch(from, to, 0.159) }],
        frequencies_Hz: OCTAVES_Hz,
      });
      const [first] = conclusions(record);
      expect(first).toMatchObject({ code: 'exceeded-below', role: 'warning', because: 'hump', unfit: true });
      expect(first!.sentence).toMatch(
        /^Channel 1 has distortion at medium power: 0\.1[56] % at 2\d\.\d W, 1 kHz\./,
      );
      const [none] = find(record, 'no-full-band-power');
      expect(none!.sentence).toMatch(
        /^No full-band power at 0\.1 % THD\+N.* the limit is exceeded from 2\d\.\d W to 3?2?\d\.\d W/,
      );
      const judged = (claim: string) => judgeRun(record, claim).claims[0]!.verdict.verdict;
      expect(judged('250 mW to 95 W, 8 ohm, 0.1 % THD+N, 1 kHz, 1 channel')).toBe('not met');
      expect(judged('95 W, 8 ohm, 0.1 % THD+N, 1 kHz, 1 channel')).toBe('met');
    },
  );

  test('a channel with crossover distortion comes first, whatever the other gives', () => {
    const record = playedRun({ channels: [{ device: sound }, { device: crossover(2) }] });
    const [first] = conclusions(record);
    expect(first!.sentence).toMatch(
      /^Channel 2 has crossover distortion: \d(\.\d+)? % at \d+\.\d mW, 1 kHz\. It exceeds 0\.1 % THD\+N from \d+\.\d mW to \d+\.\d W; not fit for a rating\.$/,
    );
  });

  test('noise at low level is told, but is no fault', () => {
    const noisy: Device = {
      name: 'noisy',
      at: (level) => {
        const { power_W, thdn_percent } = sound.at(level);
        return { power_W, thdn_percent: Math.hypot(thdn_percent, 0.06 / Math.sqrt(power_W)) };
      },
    };
    const run = playedRun({ channels: [{ device: noisy }] });
    const readings = run.readings.map((reading) => ({
      ...reading,
      noise_V: (0.06 / 100 / Math.sqrt(reading.power_W)) * reading.voltage_V,
    }));
    const record = { ...run, readings };
    expect(find(record, 'exceeded-below')).toMatchObject([
      { role: 'beside', because: 'noise', unfit: false },
    ]);
    expect(conclusions(record)[0]!.code).toBe('power-at');
  });
});

describe('a channel out of line', () => {
  test('half a decibel weaker is told first, less is not', () => {
    const weak = (clip_W: number) => playedRun({ channels: [{ device: sound }, { device: weaker(clip_W) }] });
    expect(conclusions(weak(88))[0]!.sentence).toMatch(
      /^Channel 2 is weaker: 8\d\.\d W at 0\.1 % THD\+N at 1 kHz, where channel 1 gives 10\d W\.$/,
    );
    expect(find(weak(91), 'out-of-line')).toEqual([]);
  });

  test('more than three times the THD+N is told, where both are above what anybody minds', () => {
    const dirty = (percent: number): Device => ({
      name: 'dirty',
      at: (level) => {
        const { power_W, thdn_percent } = sound.at(level);
        return { power_W, thdn_percent: Math.hypot(thdn_percent, percent) };
      },
    });
    const run = (percent: number) =>
      playedRun({ channels: [{ device: dirty(0.02) }, { device: dirty(percent) }] });
    expect(find(run(0.07), 'out-of-line')).toMatchObject([{ place: { channel: 2 }, out: { by: 'thdn' } }]);
    expect(find(run(0.05), 'out-of-line')).toEqual([]);
  });

  test('channels of different gain that bend at one drive are clipped by the source or the input', () => {
    const source = (drive_dBW: number) => Math.min(drive_dBW, 17);
    const fed: Device = { name: 'fed', at: (level) => clipper(50)(10 ** (source(level) / 10)) };
    expect(fed.at(30).power_W).toBeGreaterThan(50);
    // Gains 2 dB apart: the second clips at 2 dB less output, at the same input.
    const quieter: Device = {
      name: 'quieter',
      at: (level) => {
        const { power_W, thdn_percent } = clipper(50)(10 ** ((level + 2) / 10));
        return { power_W: power_W / 10 ** 0.2, thdn_percent };
      },
    };
    const louder: Device = { name: 'louder', at: (level) => clipper(50)(10 ** (level / 10)) };
    const record = playedRun({ channels: [{ device: louder }, { device: quieter, gain_dB: 24 }] });
    expect(find(record, 'source-clips')).toMatchObject([{ role: 'warning', channels: [1, 2] }]);
    const own = playedRun({ channels: [{ device: louder }, { device: louder, gain_dB: 24 }] });
    expect(find(own, 'source-clips')).toEqual([]);
  });
});

describe('a climb that ended early', () => {
  test('at full output of the interface says what to turn', () => {
    const run = playedRun({ channels: [{ device: sound }], most_dBW: -1 });
    const record = {
      ...run,
      points: run.points.map((point) => ({ ...point, level_dB: point.level_dB + 61 })),
    };
    expect(openingOf(conclusions(record))).toBe(
      "At least 794 mW at 1 % THD+N, 1 kHz, 8 ohm, channel 1 driven (THD+N 0.022 % there): ended at full output of the interface; turn the unit's volume up.",
    );
  });
});

describe('thermal compression with protection', () => {
  /** A level held until the unit protects itself: what was read until then, and the end as the guard tells it. */
  const shutDown = (): { record: RunRecord; readonly until_W: number; readonly at_s: number } => {
    const device = new ThermalDevice(10, 2000);
    const powers: number[] = [];
    for (let { power_W } = device.at(dBW(60)); power_W > 1; { power_W } = device.at(dBW(60)))
      powers.push(power_W);
    const run = madeRun([
      {
        ...{ step: 'stay', kind: 'hold', nominal_Hz: 1000, driven: [1], every_s: 10 },
        trials: powers.map((power_W) => ({ power_W, percent: 0.01 })),
      },
    ]);
    const reason = 'channel 1: the output fell to 10.0 mV';
    const at_s = 10 * powers.length + 10;
    const ended = { kind: 'ended', outcome: 'tripped', cause: 'output-lost', reason, at_s } as const;
    const { frequency_Hz, nominal_Hz } = run.points.at(-1)!;
    const cause = findingOf(
      { id: 'stay', kind: 'hold', driven: [1], load_ohm: 8, mains_V: null, cell: '' } as never,
      1,
      {
        ...{ quantity: 'cause', statistic: 'value', value: causesOfLoss(0.01, 21.5) },
        stimulus: { lines_Hz: [frequency_Hz], nominal_Hz, envelope: { kind: 'steady' } },
      },
    );
    const record: RunRecord = { ...run, outcome: 'tripped', reason, events: [ended], findings: [cause] };
    return { record, until_W: powers.at(-1)!, at_s };
  };

  test('is told before any rating, with the level and the time at which the unit shut down', () => {
    const { record, until_W, at_s } = shutDown();
    const [first] = conclusions(record);
    expect(first).toMatchObject({
      ...{ code: 'shut-down', role: 'warning', place: { channel: 1, nominal_Hz: 1000 } },
      last: { power_W: until_W, nominal_Hz: 1000, at_s },
    });
    expect(first!.sentence).toMatch(
      /^Channel 1 shut down at 1 kHz, 8 ohm, channel 1 driven after \d+ (s|min.*), last read at 5\d\.\d W, 1 kHz: the output fell from 21\.5 V to 10\.0 mV at the same level\. Protection of the unit is likely; a lead/,
    );
    expect(until_W).toBeLessThan(60);
  });
});

describe('the check of a repair', () => {
  const sequence = `asks: fit-for-use
checks: {dc: 100 mV, residual: 0.5 %, match: 0.5 dB, power: 5 W, distortion: 1 %}`;
  const check = (device: Device, gain_dB = 26) =>
    playedRun({ channels: [{ device: sound }, { device, gain_dB }], most_dBW: 7, sequence });

  test('passed: what was tested, and what was not', () => {
    const all = conclusions(check(sound));
    expect(all[0]!.sentence).toBe(
      'Passed: THD+N at low level, gain match, power reached. Not tested: DC at the output.',
    );
    expect(answerIsNo(all)).toBe(false);
  });

  test('failed: the channel, what it has, and the limit', () => {
    const all = conclusions(check(crossover(1.4)));
    expect(all[0]).toMatchObject({ code: 'check', state: 'failed' });
    expect(all[0]!.sentence).toMatch(
      /^Failed: channel 2, crossover distortion 6(\.\d+)? % at \d+\.\d mW \(at most 0\.5 %\)\. Not tested: DC at the output\.$/,
    );
    expect(answerIsNo(all)).toBe(true);
  });

  const readOf = (channel: number, value: number, quantity: 'dc' | 'dc-by-meter' = 'dc-by-meter') =>
    findingOf(
      { id: 'silence', kind: 'quiet', driven: [1, 2], load_ohm: 8, mains_V: null, cell: '' } as never,
      channel,
      {
        ...{ quantity, statistic: 'value', value },
        stimulus: { lines_Hz: [], nominal_Hz: null, envelope: { kind: 'silence' } },
      },
    );

  test('DC passes and fails by the meter readings that were typed in, each with its limit', () => {
    const good = conclusions({ ...check(sound), findings: [readOf(1, 0.012), readOf(2, -0.03)] });
    expect(good[0]!.sentence).toBe(
      'Passed: DC at the output, THD+N at low level, gain match, power reached.',
    );
    const bad = conclusions({ ...check(sound), findings: [readOf(1, 0.012), readOf(2, -0.3)] });
    expect(bad[0]!.sentence).toMatch(
      /^Failed: channel 2, DC at the output 300(\.0)? mV by meter reading \(at most 100 mV\)/,
    );
    // An input that blocks DC and shows none adds nothing; one that shows some fails the unit.
    const shown = conclusions({ ...check(sound), findings: [readOf(1, 0.012), readOf(1, 0.4, 'dc')] });
    expect(shown[0]!.sentence).toMatch(
      /^Failed: channel 1, DC at the output 400(\.0)? mV \(at most 100 mV\)/,
    );
    expect(shown[0]!.sentence).toMatch(/Not tested: DC at the output\.$/);
  });

  test('channels of different gain fail the match', () => {
    expect(conclusions(check(sound, 25))[0]!.sentence).toMatch(
      /^Failed: channel 2, gain match 1 dB \(at most 0\.5 dB\)/,
    );
  });
});

describe('what a verdict cannot rest on', () => {
  test('cold and hot that contradict each other leave it open, and both are named', () => {
    const cold = playedRun({ channels: [{ device: sound }] });
    const hot = playedRun({ channels: [{ device: weaker(90) }] });
    const points = hot.points.map((point) => ({ ...point, number: point.number + 1000, step: 'hot' }));
    const readings = hot.readings.map((reading) => ({
      ...reading,
      point: reading.point + 1000,
      step: 'hot',
    }));
    const record = {
      ...cold,
      points: [...cold.points, ...points],
      readings: [...cold.readings, ...readings],
    };
    const judged = (power: string) =>
      judgeRun(record, `${power}, 8 ohm, 0.1 % THD+N, 1 kHz, 1 channel`).claims[0]!.verdict;
    expect(judged('95 W')).toMatchObject({ verdict: 'inconclusive', conformance: null });
    expect(judged('95 W').reason).toMatch(
      /readings contradict each other: \S+ % at 100 W \(point \d+\) and \S+ % at 91\.0 W/,
    );
    expect([judged('80 W').verdict, judged('120 W').verdict]).toEqual(['met', 'not met']);
    expect(find(record, 'contradictory').length).toBeGreaterThan(0);
  });
});
