import { describe, expect, it } from 'vitest';
import { SamplesLost } from '../../../src/bench/bench-errors.js';
import type { Statistic } from '../../../src/record/finding.js';
import type { QuantityName } from '../../../src/record/quantities.js';
import { clippingUnit, FakeBench, type Through } from '../../runner/fake-bench.js';
import { foundIn } from '../../runner/found.js';
import { benchOf, benchText, type Played, play } from '../../runner/run.js';

const HOLD = `
name: Hold
load: 8 ohm
driven: all
steps:
  - hold: {id: keep, frequency: 1 kHz, level: 50 W, for: 60 s, every: 10 s}
`;
const RATE_Hz = 48_000;
const healthy = clippingUnit(1, 0.4);

/** The healthy unit, with something done to its output from a time on, in seconds of play. */
function changed(change: (sample: number, at_s: number) => number): Through {
  return (samples, channel, start) =>
    healthy(samples, channel, start).map((sample, i) => change(sample, (start + i) / RATE_Hz));
}

const hold = (through: Through, channels = 1, sequence = HOLD) =>
  play(sequence, benchOf(benchText(channels)), new FakeBench(channels, through));
/** How the level stood, channel by channel. */
const resultsOf = (played: Played) =>
  foundIn(played, 'power', 'first').map(({ channel, driven, value, terms }) => {
    const own = (quantity: QuantityName, statistic: Statistic) =>
      foundIn(played, quantity, statistic).find((one) => one.channel === channel)!.value!;
    return {
      ...{ channel, driven, seconds: terms.seconds!, first_W: value!, last_W: own('power', 'last') },
      ...{ least_W: own('power', 'minimum'), dip_dB: own('dip', 'maximum') },
      ...{ most_thdn_percent: own('thdn', 'maximum'), most_dc_V: own('dc', 'maximum') },
    };
  });

describe('a hold', () => {
  it('keeps a point every so often and says how the level stood, channel by channel', async () => {
    const played = await hold(healthy, 2);
    expect(played.ending.outcome).toBe('completed');
    const at_s = played.of('point').map(({ point }) => point.at_s);
    expect(at_s).toHaveLength(7);
    for (const [i, time_s] of at_s.entries()) expect(Math.abs(time_s - at_s[0]! - 10 * i)).toBeLessThan(1);
    const results = resultsOf(played);
    expect(results.map(({ channel }) => channel)).toEqual([1, 2]);
    for (const { first_W, last_W, least_W, dip_dB, seconds } of results) {
      for (const power_W of [first_W, last_W, least_W]) expect(power_W).toBeCloseTo(50, 3);
      expect(dip_dB).toBeLessThan(0.03);
      expect(Math.abs(seconds - 60)).toBeLessThan(1);
    }
  });

  it('plays the level again where the bench says that samples were lost, and tells when', async () => {
    let left = 1;
    const played = await hold((samples, channel, start) => {
      if (start > 20 * RATE_Hz && left > 0) {
        left -= 1;
        throw new SamplesLost({ what: 'invented: the device ran out of samples' });
      }
      return healthy(samples, channel, start);
    });
    expect(played.ending.outcome).toBe('completed');
    expect(
      played
        .of('note')
        .filter(({ topic }) => topic === 'capture')
        .map(({ text }) => text),
    ).toEqual(['invented: the device ran out of samples: the level is played again']);
    const [first] = played.of('finding').map(({ finding }) => finding);
    const [remark] = first!.remarks.filter(({ code }) => code === 'broke-off');
    expect(remark).toMatchObject({ after_s: expect.closeTo(20, -1) });
    expect(played.of('point')).toHaveLength(7);
    for (const { readings } of played.of('point')) expect(readings[0]!.power_W).toBeCloseTo(50, 3);
  });

  it('leaves the drive as it is, so that a drift of the unit shows', async () => {
    // 0.3 dB less in 60 s, along a straight line.
    const played = await hold(changed((sample, at_s) => sample * 10 ** ((-0.3 * at_s) / 60 / 20)));
    const levels = played.of('point').map(({ point }) => point.level_dB);
    expect(Math.max(...levels) - Math.min(...levels)).toBeLessThan(1e-9);
    const { first_W, last_W, least_W } = resultsOf(played)[0]!;
    expect(10 * Math.log10(last_W / first_W)).toBeCloseTo(-0.295, 1);
    expect(least_W).toBeCloseTo(last_W, 6);
  });

  it('keeps the record in which the output dipped, although its turn had not come', async () => {
    // 20 % less for 40 ms: 1.94 dB.
    const played = await hold(changed((sample, at_s) => (at_s > 33 && at_s < 33.04 ? 0.8 * sample : sample)));
    const extra = played.of('point').filter(({ point }) => point.at_s > 31.5 && point.at_s < 34.5);
    expect(extra.length).toBeGreaterThanOrEqual(1);
    expect(resultsOf(played)[0]!.dip_dB).toBeCloseTo(-20 * Math.log10(0.8), 1);
  });

  it('keeps the worst THD+N of any record', async () => {
    // At the peak a = 0.2828 of 50 W, 0.4 (x^3 - 3/4 a^2 x) is a third harmonic alone, 0.4 a^2 / 4 = 0.8 % of the tone.
    const third = (x: number) => 0.4 * (x ** 3 - 0.75 * 0.08 * x);
    const played = await hold(changed((x, at_s) => (at_s > 22 && at_s < 25 ? x - third(x) : x)));
    const [result] = resultsOf(played);
    expect(result!.most_thdn_percent).toBeCloseTo(0.8, 2);
    const most = Math.max(...played.of('point').map(({ readings }) => readings[0]!.thdn_percent));
    expect(Math.abs(result!.most_thdn_percent / most - 1)).toBeLessThan(0.1);
  });

  it('keeps the most DC of any record', async () => {
    const played = await hold(changed((sample, at_s) => (at_s > 42 && at_s < 45 ? sample + 0.01 : sample)));
    // 0.01 of full scale is 1 V at this bench.
    expect(resultsOf(played)[0]!.most_dc_V).toBeCloseTo(1, 2);
    expect(Math.max(...played.of('point').map(({ readings }) => readings[0]!.dc_V))).toBeGreaterThan(0.5);
  });

  it('keeps no more than four times the regular count of a unit that gets worse all the time', async () => {
    // 0.08 dB less in every record of 0.68 s.
    const played = await hold(changed((sample, at_s) => sample * 10 ** ((-0.08 * at_s) / 0.68 / 20)));
    const count = played.of('point').length;
    expect(count).toBeGreaterThan(14);
    expect(count).toBeLessThanOrEqual(4 * 7);
  });

  it('brings each channel to its own level and reads the measured ones only', async () => {
    const unit: Through = (samples, channel, start) =>
      clippingUnit(channel === 1 ? 1 : 0.9, 0.4)(samples, channel, start);
    const played = await play(HOLD, benchOf(benchText(3)), new FakeBench(3, unit), {
      change: (step) => ('driven' in step ? { ...step, measured: [1, 2] } : step),
    });
    const results = resultsOf(played);
    expect(results.map(({ channel }) => channel)).toEqual([1, 2]);
    for (const { first_W, driven } of results) {
      // The level is trimmed until it is within 0.02 dB.
      expect(Math.abs(10 * Math.log10(first_W / 50))).toBeLessThan(0.02);
      expect(driven).toEqual([1, 2, 3]);
    }
  });

  it('does not drive a unit too hard that swallows much of a weak tone', async () => {
    // A dead zone of 0.7 V: of the 0.9 V peak that the gain is probed at first, only the tops get through.
    const dead = (x: number) => Math.sign(x) * Math.max(0, Math.abs(x) - 0.007);
    const played = await hold(changed(dead), 1, HOLD.replace('60 s, every: 10 s', '2 s, every: 1 s'));
    expect(played.ending.outcome).toBe('completed');
    for (const { readings } of played.of('point'))
      expect(Math.abs(10 * Math.log10(readings[0]!.power_W / 50))).toBeLessThan(0.02);
  });

  it('trips when the output vanishes in the middle of it', async () => {
    const played = await hold(changed((sample, at_s) => (at_s > 30 ? 0 : sample)));
    expect(played.ending.outcome).toBe('tripped');
    expect(played.of('point').length).toBeGreaterThanOrEqual(3);
  });
});

describe('a warm-up', () => {
  const WARM_UP = HOLD.replace('hold: {id: keep', 'warm-up: {id: keep');

  it('plays and keeps points as a hold does, and has no result', async () => {
    const played = await hold(healthy, 1, WARM_UP);
    expect(played.ending.outcome).toBe('completed');
    expect(played.of('point')).toHaveLength(7);
    expect(played.of('point')[0]!.point.stepKind).toBe('warm-up');
    expect(played.of('finding')).toEqual([]);
  });
});
