import { describe, expect, it } from 'vitest';
import type { SoundBlock } from '../../src/bench/bench.js';
import type { CourseLimits } from '../../src/safety/course-limits.js';
import { CourseWatch } from '../../src/safety/course-watch.js';
import type { PlanStep, WiredStep } from '../../src/sequence/plan.js';
import { stand, stepOf } from './stand.js';

const RATE = stand.rate_Hz;
/** Load volts for a sample of 1.0 on the stand; its loads are rated 250 W with a time constant of 300 s. */
const FULL_V = 100;
const NO_LIMITS: CourseLimits = { time_s: 1e9, energy_J: 1e12, loads: [] };
const CLIMB = stepOf('climb: {id: c, frequency: 1 kHz, from: 1 W, driven: [1]}');

/** One second of these watts into 8 ohm on both channels, as DC: its mean square is exact. */
function second(...powers_W: readonly number[]): SoundBlock {
  const level = (power_W: number) => Math.sqrt(power_W * 8) / FULL_V;
  return { start: 0, channels: [0, 1].map((i) => new Float64Array(RATE).fill(level(powers_W[i] ?? 0))) };
}

function watching(step: PlanStep, limits: Partial<CourseLimits> = {}) {
  const watch = new CourseWatch({ ...NO_LIMITS, ...limits }, stand);
  watch.begin(step);
  let at_s = 0;
  return {
    watch,
    /** Plays for so many seconds; gives the trip and the second at which it came. */
    play(seconds: number, ...powers_W: readonly number[]) {
      const block = second(...powers_W);
      for (let gone_s = 1; gone_s <= seconds; gone_s += 1) {
        at_s += 1;
        const trip = watch.look(block, at_s);
        if (trip) return { trip, gone_s };
      }
      return { trip: null, gone_s: seconds };
    },
    rest(seconds: number) {
      at_s += seconds;
      return watch.rest(at_s);
    },
  };
}

describe('CourseWatch on the warmth of a load', () => {
  it('trips when the mean by the time constant passes 105 % of the rating: closed form', () => {
    // 500 W: 500 (1 - exp(-t/300)) = 262.5 at t = -300 ln(1 - 0.525) = 223.3 s.
    const { trip, gone_s } = watching(CLIMB).play(400, 500);
    expect(trip).toMatchObject({ kind: 'load-hot', channel: 1, limit: 262.5 });
    expect(gone_s).toBe(Math.ceil(-300 * Math.log(1 - 0.525)));
    expect(trip!.text).toMatch(
      /^channel 1: the load is estimated to be as hot as 26\d\.\d W .* more than the 262\.5 W/,
    );
  });

  it('warns once at 90 % and lets the rating itself stand for ever', () => {
    const stood = watching(CLIMB);
    expect(stood.play(3000, 250).trip).toBeNull();
    const warnings = stood.watch.takeWarnings();
    expect(warnings).toHaveLength(1);
    expect(warnings[0]).toMatch(
      /^channel 1: the load of 8 ohm is estimated to be as hot as 225\.\d W continuous would make it, 90 % of its rating of 250\.0 W$/,
    );
    expect(stood.watch.takeWarnings()).toEqual([]);
  });

  it('goes with a load that is moved from channel to channel: one label is one load', () => {
    const shared = {
      ...stand,
      channels: stand.channels.map((chain) => ({
        ...chain,
        loads: chain.loads.map((load) => ({ ...load, label: 'rack' })),
      })),
    };
    const watch = new CourseWatch(NO_LIMITS, shared);
    watch.begin(CLIMB);
    for (let at_s = 1; at_s <= 200; at_s += 1) expect(watch.look(second(500), at_s)).toBeNull();
    watch.begin(stepOf('climb: {id: d, frequency: 1 kHz, from: 1 W, driven: [2]}'));
    let at_s = 201;
    for (; watch.look(second(0, 500), at_s) === null; at_s += 1) expect(at_s).toBeLessThan(400);
    // As if it had gone on in one channel: 500 W (1 - exp(-t/300)) = 262.5 W.
    expect(at_s).toBe(Math.ceil(-300 * Math.log(1 - 0.525)));
    // What each channel has put in is told apart: 500 W (1 - exp(-t/300)), which has fallen since, and the rest.
    const [one, two] = watch.given().filter(({ load }) => load.nominal_ohm === 8);
    expect(one!.own_W).toBeCloseTo(500 * (1 - Math.exp(-200 / 300)) * Math.exp(-(at_s - 200) / 300), 6);
    expect(two!.own_W).toBeCloseTo(500 * (1 - Math.exp(-(at_s - 200) / 300)), 6);
  });

  it('lets it cool in silence', () => {
    const rested = watching(CLIMB);
    expect(rested.play(200, 500).trip).toBeNull();
    expect(rested.rest(300)).toBeNull();
    // 243.3 W has fallen to 89.5 W: (500 - 89.5) exp(-t/300) = 500 - 262.5 after 164.2 s.
    const left_W = 500 * (1 - Math.exp(-200 / 300)) * Math.exp(-1);
    expect(rested.play(400, 500).gone_s).toBe(Math.ceil(300 * Math.log((500 - left_W) / (500 - 262.5))));
  });

  it('counts time between blocks as silence, and a block that comes late as no more than its length', () => {
    const watch = new CourseWatch({ ...NO_LIMITS, energy_J: 1000.5 }, stand);
    watch.begin(CLIMB);
    for (const at_s of [1, 2.4, 3, 10, 11, 12.2, 13, 14, 15, 16])
      expect(watch.look(second(100), at_s)).toBeNull();
    expect(watch.look(second(1), 17)?.kind).toBe('energy');
  });

  it('takes a driven channel that is not read to give what the strongest read one gives', () => {
    const step = { ...(CLIMB as WiredStep), driven: [1, 2], measured: [2] } as PlanStep;
    const { trip } = watching(step).play(400, 0, 500);
    expect(trip).toMatchObject({ kind: 'load-hot', channel: 1 });
  });
});

describe('CourseWatch on energy', () => {
  it('trips on what all loads have taken together, naming both figures', () => {
    const { trip, gone_s } = watching(stepOf('climb: {frequency: 1 kHz, from: 1 W}'), {
      energy_J: 5000,
    }).play(99, 60, 40);
    expect([trip!.kind, gone_s]).toEqual(['energy', 51]);
    expect(trip!.text).toBe('all loads together have taken 5.1 kJ, more than the 5 kJ that this run allows');
  });

  it('trips on what one load has taken', () => {
    // 16 s of 60 W are the limit itself, which is allowed.
    const loads = [{ channel: 1, load_ohm: 8, energy_J: 960 }];
    const { trip, gone_s } = watching(CLIMB, { loads }).play(99, 60);
    expect([trip!.kind, trip!.channel, gone_s]).toEqual(['load-energy', 1, 17]);
    expect(trip!.text).toBe(
      'channel 1: the load has taken 1.02 kJ, more than the 960 J that the plan allows',
    );
  });

  it('counts nothing in steps that drive nothing', () => {
    const quiet: PlanStep = { kind: 'rest', id: 'r', seconds: 10 };
    expect(watching(quiet, { energy_J: 0 }).play(99, 60).trip).toBeNull();
  });
});

describe('CourseWatch on time', () => {
  it('trips when the run has taken more than it may, playing or resting', () => {
    expect(watching(CLIMB, { time_s: 60 }).play(99, 1)).toMatchObject({ trip: { kind: 'time' }, gone_s: 61 });
    const trip = watching(CLIMB, { time_s: 60 }).rest(7200);
    expect(trip!.text).toBe('the run has taken 2 h, more than the 1 min that it may last');
  });

  it('leaves out the time that the operator took', () => {
    const waited = watching(CLIMB, { time_s: 60 });
    waited.watch.excuse(3600);
    expect(waited.rest(3660)).toBeNull();
    expect(waited.rest(1)?.kind).toBe('time');
  });
});

describe('CourseWatch of a run that is taken up', () => {
  const goneOn = (mean_W: number, energy_J: number, limits: Partial<CourseLimits> = {}) => {
    const again = watching(CLIMB, limits);
    again.watch.wasGiven((channel) => (channel === 1 ? mean_W : 0), energy_J);
    return again;
  };

  it('goes on with loads as warm as they were: closed form', () => {
    // From 200 W towards 500 W: 500 - 300 exp(-t/300) = 262.5 at t = -300 ln(237.5 / 300) = 70.1 s.
    const { trip, gone_s } = goneOn(200, 0).play(400, 500);
    expect(trip).toMatchObject({ kind: 'load-hot', channel: 1 });
    expect(gone_s).toBe(Math.ceil(-300 * Math.log(237.5 / 300)));
  });

  it('takes no load to be warmer than its rating makes it, so that a run can go on at all', () => {
    expect(goneOn(400, 0).play(1, 0).trip).toBeNull();
  });

  it('counts the energy that earlier sessions have put in', () => {
    expect(goneOn(0, 900, { energy_J: 1000 }).play(99, 60)).toMatchObject({
      trip: { kind: 'energy' },
      gone_s: 2,
    });
  });
});
