import { describe, expect, it } from 'vitest';
import { SamplesLost } from '../../../src/bench/bench-errors.js';
import { clippingUnit, FakeBench, type Through } from '../fake-bench.js';
import { foundIn } from '../found.js';
import { benchOf, benchText, play } from '../run.js';

const CLIMB = `
name: Climb
load: 8 ohm
driven: all
steps:
  - climb: {id: up, frequency: 1 kHz, from: 100 mW, to: 300 W, marks: [0.1 %, 1 %], stop: 1 %}
`;
const CLIMB_AND_BAND = `${CLIMB}
  - rest: 90 s
  - sweep: {id: band, level: 0.1 % of up, frequencies: [100 Hz, 1 kHz, 5 kHz]}
`;

describe('runPlan on a unit that clips at 40 V', () => {
  // 40 V is 0.4 of full scale at this bench: clipping begins at 100 W into 8 ohm.
  const unit = clippingUnit(1, 0.4);

  it('marks the power at both thresholds and the knee, per channel', async () => {
    const bench = new FakeBench(2, (samples, channel, start) =>
      clippingUnit(channel === 1 ? 1 : 0.98, 0.4)(samples, channel, start),
    );
    const played = await play(CLIMB, benchOf(benchText(2)), bench);
    expect(played.ending.outcome).toBe('completed');
    const powers = foundIn(played, 'max-power');
    expect(powers.map(({ channel, threshold_percent }) => [channel, threshold_percent])).toEqual([
      [1, 0.1],
      [1, 1],
      [2, 0.1],
      [2, 1],
    ]);
    for (const { value, threshold_percent, terms } of powers) {
      // The clipper of these tests is sampled naively, so its folded harmonics add to THD+N: 0.1 dB is what it is good for.
      expect(10 * Math.log10(value! / (threshold_percent === 1 ? 104.77 : 100.858))).toBeCloseTo(0, 1);
      expect(terms.bracket_dB).toBeLessThanOrEqual(0.05);
    }
    const knees = foundIn(played, 'knee-power');
    expect(knees.map(({ value }) => Math.abs(value! - 100) < 3)).toEqual([true, true]);
  });

  it('states the expanded uncertainty of a power: 2 sqrt(4 (0.2^2 + 0.1^2) + 0.3^2) percent', async () => {
    const played = await play(CLIMB, benchOf(benchText(1)), new FakeBench(1, unit));
    const [first] = played.of('point');
    const { power_W, uncertainty_W } = first!.readings[0]!;
    // The noise of this bench, 1e-6 of full scale, adds a few parts in a hundred million.
    expect((100 * uncertainty_W!) / power_W).toBeCloseTo(2 * Math.hypot(0.4, 0.2, 0.3), 6);
  });

  it('never plays louder than the plan allows, and begins below its first level', async () => {
    const bench = new FakeBench(1, unit);
    const played = await play(CLIMB, benchOf(benchText(1)), bench);
    const asked = played.of('point').map(({ point }) => point.asked_W!);
    expect(Math.max(...asked)).toBeLessThanOrEqual(300);
    expect(asked[0]).toBeCloseTo(0.1, 2);
    expect(bench.loudest).toBeLessThanOrEqual(Math.sqrt(2 * 300 * 8) / 100 + 1e-9);
  });

  it('does not drive a channel that leaks at low level as many times too hard as it leaks too little', async () => {
    // Channel 2 is dead up to 0.3 V at the load but for a leak of 2 %; 50 mW are 0.89 V peak.
    const dead = 0.3 / 100;
    const unit = new FakeBench(2, (samples, channel) =>
      samples.map((sample) => {
        if (channel === 1) return 0.3 * sample;
        const out = 0.3 * sample;
        return Math.abs(out) < dead ? 0.02 * out : out - 0.98 * dead * Math.sign(out);
      }),
    );
    const sweep = 'name: t\nload: 8 ohm\nsteps: [{sweep: {level: 50 mW, frequencies: [1 kHz]}}]\n';
    const played = await play(sweep, benchOf(benchText(2)), unit);
    expect(played.ending.outcome).toBe('completed');
    const [point] = played.of('point').slice(-1);
    expect(Math.max(...point!.readings.map(({ power_W }) => power_W))).toBeLessThan(0.1);
  });

  it('does not take the leakage of a unit that wakes up with level for its gain', async () => {
    // Dead up to 2 V at the load but for a leak of 0.2 %: a gain of -54 dB would ask for full scale at once.
    const gated: Through = (samples, channel, start) =>
      clippingUnit(1, 0.4)(samples, channel, start).map(
        (sample) => Math.sign(sample) * Math.max(0, Math.abs(sample) - 0.02) + 0.002 * sample,
      );
    const played = await play(CLIMB, benchOf(benchText(1)), new FakeBench(1, gated));
    const [first] = played.of('point');
    // Asked for 0.1 W: a few decibels of waking up are to be expected, the 105 W of full scale are not.
    expect(first!.readings[0]!.power_W).toBeLessThan(2);
  });

  it('hands over a point before the next one is played', async () => {
    const bench = new FakeBench(1, unit);
    let loudestBefore = 0;
    await play(CLIMB, benchOf(benchText(1)), bench, {
      onEvent: (event) => {
        if (event.kind !== 'point') return;
        const peak = 10 ** (event.point.level_dB / 20);
        loudestBefore = Math.max(loudestBefore, peak);
        // Nothing louder than the points told so far has been played: the next one has not begun.
        expect(bench.loudest).toBeLessThanOrEqual(loudestBefore * 1.001);
      },
    });
    expect(loudestBefore).toBeGreaterThan(0.4);
  });

  it('carries the found power through the band after a rest in silence', async () => {
    const bench = new FakeBench(1, unit);
    const played = await play(CLIMB_AND_BAND, benchOf(benchText(1)), bench);
    const at01 = foundIn(played, 'max-power')[0]!.value!;
    const band = played.of('point').filter(({ point }) => point.step === 'band');
    expect(band.map(({ point }) => point.nominal_Hz)).toEqual([100, 1_000, 5_000]);
    for (const { readings } of band) expect(10 * Math.log10(readings[0]!.power_W / at01)).toBeCloseTo(0, 1);
    expect(
      bench.calls.filter((call) => call.startsWith('idle')).map((call) => Number(call.slice(5))),
    ).toEqual([20, 20, 20, 20, 10]);
    const idle = bench.calls.indexOf('idle 20');
    expect(bench.calls[idle - 1]).toBe('silence');
  });

  it('says so when the output gives way within the band', async () => {
    const weakBass: Through = (samples, channel, start) => clippingUnit(1, 0.4)(samples, channel, start);
    const sagging = new FakeBench(1, (samples, channel, start) => {
      const out = weakBass(samples, channel, start);
      const crossings = samples.reduce(
        (count, sample, i) => count + (i > 0 && sample >= 0 !== samples[i - 1]! >= 0 ? 1 : 0),
        0,
      );
      return crossings > 0 && crossings < 10 ? out.map((sample) => sample * 0.9) : out;
    });
    const played = await play(CLIMB_AND_BAND, benchOf(benchText(1)), sagging);
    const bass = played.of('point').find(({ point }) => point.nominal_Hz === 100)!.readings[0]!;
    expect(bass.flags).toContain('power-not-reached');
  });
});

describe('runPlan on loads with a short rating', () => {
  const short = benchText(1).replace('rating: 400 W', 'rating: 20 W, short_rating: 400 W, thermal: 10 s');

  it('rests between hot points, in silence, so that the mean stays within the continuous rating', async () => {
    const bench = new FakeBench(1, clippingUnit(1, 0.4));
    const played = await play(CLIMB, benchOf(short), bench);
    expect(played.ending.outcome).toBe('completed');
    const rests = played.of('note').filter(({ topic }) => topic === 'rest');
    expect(rests.length).toBeGreaterThan(3);
    // First-order mean of the power in the load, from what was read and when.
    let [mean_W, at_s, warmest_W] = [0, 0, 0];
    for (const { point, readings } of played.of('point')) {
      // One record at 48 kHz, and a ramp and settling of about 0.1 s.
      const took_s = 32_768 / 48_000 + 0.1;
      mean_W *= Math.exp(-(point.at_s - at_s) / 10);
      mean_W = readings[0]!.power_W + (mean_W - readings[0]!.power_W) * Math.exp(-took_s / 10);
      at_s = point.at_s + took_s;
      warmest_W = Math.max(warmest_W, mean_W);
    }
    expect(warmest_W).toBeLessThan(20 * 1.02);
  });

  it('keeps `load rating` to the continuous one', async () => {
    const played = await play(
      CLIMB.replace('300 W', 'load rating'),
      benchOf(short),
      new FakeBench(1, clippingUnit(1, 0.4)),
    );
    expect(Math.max(...played.of('point').map(({ point }) => point.asked_W!))).toBeLessThanOrEqual(
      20 * (1 + 1e-9),
    );
  });

  it('refuses a short rating below the continuous one', () => {
    expect(() => benchOf(benchText(1).replace('rating: 400 W', 'rating: 400 W, short_rating: 20 W'))).toThrow(
      /short rating lies below/,
    );
  });
});

describe('runPlan when something is wrong', () => {
  it('trips on DC at the output, ramps down and keeps what it has', async () => {
    let blocks = 0;
    const bench = new FakeBench(1, (samples, channel, start) => {
      blocks += 1;
      const out = clippingUnit(1, 0.4)(samples, channel, start);
      return blocks > 400 ? out.map((sample) => sample + 0.05) : out;
    });
    const played = await play(CLIMB, benchOf(benchText(1)), bench);
    expect(played.ending.outcome).toBe('tripped');
    expect(played.ending.reason).toMatch(/DC/);
    expect(played.of('point').length).toBeGreaterThan(3);
    expect(bench.calls.slice(-2)).toEqual(['silence', 'close']);
  });

  it('trips when the output vanishes in the middle of a point', async () => {
    let blocks = 0;
    const bench = new FakeBench(1, (samples, channel, start) => {
      blocks += 1;
      return blocks > 500 ? new Float64Array(samples.length) : clippingUnit(1, 0.4)(samples, channel, start);
    });
    const played = await play(CLIMB, benchOf(benchText(1)), bench);
    expect(played.ending).toMatchObject({ outcome: 'tripped', cause: 'output-lost' });
    const finding = played.of('finding').at(-1)?.finding;
    expect(finding).toMatchObject({ quantity: 'cause', setting: { channel: 1 } });
    expect(finding?.value).toMatchObject([{ cause: 'protection' }, { cause: 'not-clear' }]);
    expect(bench.calls.slice(-2)).toEqual(['silence', 'close']);
  });

  it('names a channel that stays silent, having never played dangerously', async () => {
    const bench = new FakeBench(2, (samples, channel, start) =>
      clippingUnit(channel === 2 ? 0 : 1, 0.4)(samples, channel, start),
    );
    const played = await play(CLIMB, benchOf(benchText(2)), bench);
    expect(played.ending.outcome).toBe('stopped');
    expect(played.ending.reason).toMatch(/channel 2 is dead/);
    expect(bench.loudest).toBeLessThan(Math.sqrt(2 * 2 * 8) / 100);
  });

  it('takes a point again when samples were lost, and gives up when it keeps happening', async () => {
    const lossy = new FakeBench(1, (samples, channel, start) => {
      const out = clippingUnit(1, 0.4)(samples, channel, start);
      return start > 300_000 && start < 380_000 && start % 16_384 === 0 ? out.copyWithin(100, 107) : out;
    });
    const played = await play(CLIMB, benchOf(benchText(1)), lossy);
    expect(played.ending.outcome).toBe('completed');
    expect(played.of('note').some(({ topic }) => topic === 'capture')).toBe(true);

    const broken = new FakeBench(1, (samples, channel, start) => {
      const out = clippingUnit(1, 0.4)(samples, channel, start);
      return start % 16_384 === 0 ? out.copyWithin(100, 107) : out;
    });
    const failed = await play(CLIMB, benchOf(benchText(1)), broken);
    expect(failed.ending.outcome).toBe('fault');
    expect(failed.ending.reason).toMatch(/samples were lost/);
  });

  it('takes a point again where the bench itself says that samples were lost, until it has said so too often', async () => {
    const losing = (times: number) => {
      let left = times;
      return new FakeBench(1, (samples, channel, start) => {
        if (start > 40_000 && left > 0) {
          left -= 1;
          throw new SamplesLost({ what: 'invented: the device ran out of samples' });
        }
        return clippingUnit(1, 0.4)(samples, channel, start);
      });
    };
    const whole = await play(CLIMB, benchOf(benchText(1)), losing(0));
    const played = await play(CLIMB, benchOf(benchText(1)), losing(2));
    expect(played.ending.outcome).toBe('completed');
    const said = played.of('note').filter(({ topic }) => topic === 'capture');
    expect(said.map(({ text }) => text)).toEqual(
      Array(2).fill('invented: the device ran out of samples: the point is taken again'),
    );
    expect(played.of('point').map(({ readings }) => readings[0]!.power_W)).toEqual(
      whole.of('point').map(({ readings }) => expect.closeTo(readings[0]!.power_W, 3)),
    );

    const broken = await play(CLIMB, benchOf(benchText(1)), losing(99));
    expect(broken.ending.outcome).toBe('fault');
    expect(broken.ending.reason).toMatch(/ran out of samples|samples were lost in 11 captures/);
  });

  it('ends as interrupted when the operator breaks off, and lets go of the bench', async () => {
    const controller = new AbortController();
    const bench = new FakeBench(1, clippingUnit(1, 0.4));
    let points = 0;
    const played = await play(CLIMB, benchOf(benchText(1)), bench, {
      signal: controller.signal,
      onEvent: (event) => {
        if (event.kind === 'point') points += 1;
        if (points === 3) controller.abort();
      },
    });
    expect(played.ending.outcome).toBe('interrupted');
    expect(played.of('point')).toHaveLength(3);
    expect(bench.calls.slice(-2)).toEqual(['silence', 'close']);
  });

  it('stops before anything is played when the operator does not confirm the loads', async () => {
    const bench = new FakeBench(1, clippingUnit(1, 0.4), true);
    const asked: string[] = [];
    const played = await play(CLIMB, benchOf(benchText(1)), bench, {
      ask: async ({ text }) => {
        asked.push(text);
        return false;
      },
    });
    expect(played.ending.outcome).toBe('stopped');
    expect(asked[0]).toMatch(/8 ohm/);
    expect(bench.calls).toEqual(['open', 'close']);
  });

  it('waits for a person where nobody is there to answer: the run can go on, and no answer is recorded', async () => {
    const bench = new FakeBench(1, clippingUnit(1, 0.4), true);
    const played = await play(CLIMB, benchOf(benchText(1)), bench, { ask: async () => 'nobody' });
    expect(played.ending).toMatchObject({ outcome: 'interrupted', cause: 'needs-person' });
    expect(played.of('answered')).toEqual([]);
    expect(bench.calls).toEqual(['open', 'close']);
  });

  it('asks where a question stands, or once the loads of the next step are connected and the unit is on', async () => {
    const steps = [
      'ask: before',
      'ask: {text: after, once_connected: true}',
      'ask: as well',
      'quiet: {for: 1 s}',
      'ask: {text: last, once_connected: true}',
    ];
    const asked: string[] = [];
    const played = await play(
      `name: Order\nload: 8 ohm\nsteps:\n${steps.map((step) => `  - ${step}\n`).join('')}`,
      benchOf(benchText(1)),
      new FakeBench(1, clippingUnit(1, 0.4), true),
      {
        ask: async ({ about, text }) => {
          asked.push(about === 'sequence' ? text : about);
          return true;
        },
      },
    );
    expect(played.ending.outcome).toBe('completed');
    const setUp = asked.filter((one) => one === 'set-up');
    expect(setUp.length).toBeGreaterThan(2);
    expect(asked).toEqual(['before', ...setUp, 'after', 'as well', 'last']);
  });

  it('silences the bench when the listener fails, and lets the failure through', async () => {
    const bench = new FakeBench(1, clippingUnit(1, 0.4));
    const failing = play(CLIMB, benchOf(benchText(1)), bench, {
      onEvent: (event) => {
        if (event.kind === 'point') throw new Error('the disk is full');
      },
    });
    await expect(failing).rejects.toThrow('the disk is full');
    expect(bench.calls.slice(-2)).toEqual(['silence', 'close']);
  });

  it('leaves a sweep out, and says so, when its climb found no power', async () => {
    const clean = new FakeBench(1, clippingUnit(1, 10));
    const played = await play(CLIMB_AND_BAND.replace('300 W', '20 W'), benchOf(benchText(1)), clean);
    expect(played.ending.outcome).toBe('completed');
    expect(foundIn(played, 'max-power')[0]).toMatchObject({
      bound: 'at-least',
      why: { code: 'not-reached', end: { by: 'step-limit', limit_W: 20 } },
    });
    expect(played.of('note').some(({ text }) => text.includes('left out'))).toBe(true);
  });

  it('sweeps the channels whose climb found a power, in silence on the others, and says so', async () => {
    const healthy = clippingUnit(1, 0.4);
    // A step of 0.1 V where the current changes hands, at every level: THD+N never falls below 0.15 %.
    const bench = new FakeBench(3, (samples, channel, start) => {
      const out = healthy(samples, channel, start);
      if (channel !== 2) return out;
      // Its offset dies away behind a coupling: on a silent channel that must not look like a lost output.
      return out.map((sample, i) => {
        const offset = 1e-4 * Math.exp(-(start + i) / 2400);
        return sample - 0.001 * Math.sign(Math.trunc(sample * 1e4)) + offset;
      });
    });
    const played = await play(CLIMB_AND_BAND, benchOf(benchText(3)), bench);
    expect(played.ending.outcome).toBe('completed');
    const marks = foundIn(played, 'max-power');
    expect(
      marks.filter(({ value, threshold_percent }) => value === null && threshold_percent === 0.1),
    ).toMatchObject([{ channel: 2 }]);
    const band = played.of('point').filter(({ point }) => point.step === 'band');
    expect(band).toHaveLength(3);
    for (const { point, readings, capture } of band) {
      expect(point.driven).toEqual([1, 3]);
      expect(readings.map(({ channel }) => channel)).toEqual([1, 3]);
      expect(capture.channels.map(({ channel }) => channel)).toEqual([1, 3]);
    }
    const bands = foundIn(played, 'power', 'minimum');
    expect(bands).toMatchObject([
      { channel: 1, driven: [1, 3] },
      { channel: 3, driven: [1, 3] },
    ]);
    expect(played.of('note').find(({ topic }) => topic === 'sweep')?.text).toBe(
      'step band is played without channel 2: step up found no power at 0.1 % there. It drives channels 1 and 3 only',
    );
  });
});
