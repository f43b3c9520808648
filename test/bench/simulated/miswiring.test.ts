import { describe, expect, it } from 'vitest';
import { coherentTone } from '../../../src/signal/coherent-tone.js';
import { toneSource } from '../../signal/tone-source.js';
import { TruthStand, twinOf } from './truth-stand.js';

const CURRENT = { input: 9, fullScale_Vpk: 2, shunt_ohm: 0.1, stated: null };
/** 4 V out at full scale, gain 10, attenuator 10: a code of x comes back as x / 2. */
const CHAIN = { outputFullScale_Vpk: 4, inputFullScale_Vpk: 8, attenuator_ratio: 10, current: CURRENT };
const open = (more = '') => new TruthStand(twinOf(more), { channels: 3, chain: CHAIN }).open();
const LEVELS = [0.2, 0.4, 0.8];

describe('wrong cables', () => {
  it('put the tap of a channel onto the load of another one', async () => {
    const player = await open();
    player.bench.miswire({
      taps: new Map([
        [1, 2],
        [2, 1],
      ]),
    });
    const [one, two, three] = await player.peaks(1000, LEVELS);
    expect(one).toBeCloseTo(0.2, 6);
    expect(two).toBeCloseTo(0.1, 6);
    expect(three).toBeCloseTo(0.4, 6);
  });

  it('leave a dead channel silent, in the unit and in a loop', async () => {
    const player = await open();
    player.bench.miswire({ dead: [2] });
    expect((await player.peaks(1000, LEVELS)).map((x) => Number(x.toFixed(6)))).toEqual([0.1, 0, 0.4]);
    await player.bench.configure({ load_ohm: 8, driven: [1, 2, 3], wiring: 'loop' });
    expect((await player.peaks(1000, LEVELS)).map((x) => Number(x.toFixed(6)))).toEqual([0.1, 0, 0.4]);
  });

  it('turn an inverted channel by half a turn and leave its level', async () => {
    const player = await open();
    player.bench.miswire({ inverted: [2] });
    const { channels } = await player.hear(1000, LEVELS);
    const [one, two] = channels.map((channel) => channel.fundamental_phase_rad);
    expect(Math.abs(two! - one!)).toBeCloseTo(Math.PI, 6);
    expect(channels[1]!.fundamental_rms / channels[0]!.fundamental_rms).toBeCloseTo(2, 9);
  });

  it('bring a loop to the input of another channel, where what ends there adds up', async () => {
    const player = await open();
    await player.bench.configure({ load_ohm: 8, driven: [1, 2, 3], wiring: 'loop' });
    player.bench.miswire({ loops: new Map([[1, 2]]) });
    const [one, two, three] = await player.peaks(1000, LEVELS);
    expect(one).toBeCloseTo(0, 12);
    expect(two).toBeCloseTo(0.1 + 0.2, 9);
    expect(three).toBeCloseTo(0.4, 9);
  });

  it('are all put right by the next call', async () => {
    const player = await open();
    player.bench.miswire({ dead: [1], inverted: [2], loads: new Map([[3, 'open']]) });
    player.bench.miswire({});
    const { channels, currents } = await player.hear(1000, LEVELS);
    expect(channels[0]!.fundamental_rms * Math.SQRT2).toBeCloseTo(0.1, 6);
    expect(channels[0]!.fundamental_phase_rad).toBeCloseTo(channels[1]!.fundamental_phase_rad, 6);
    expect(currents[2]!.fundamental_rms).toBeGreaterThan(0.05);
  });

  it('take effect while a tone plays', async () => {
    const { bench } = await open();
    const tone = coherentTone({ nominal_Hz: 1000, rate_Hz: 48_000 });
    const source = toneSource([{ at: 0, tone, peaks: LEVELS, rampFrames: 480 }], 3);
    const peaks: number[] = [];
    for await (const { channels } of bench.play(source)) {
      peaks.push(Math.max(...channels[0]!));
      if (peaks.length === 4) bench.miswire({ dead: [1] });
      if (peaks.length === 8) break;
    }
    expect(peaks[3]).toBeCloseTo(0.1, 3);
    expect(peaks[7]).toBeCloseTo(0, 9);
  });

  it('name no channel that the bench does not have', async () => {
    const { bench } = await open();
    expect(() => bench.miswire({ taps: new Map([[1, 4]]) })).toThrow(/no channel 4/);
    expect(() => bench.miswire({ dead: [0] })).toThrow(/no channel 0/);
    expect(() => bench.miswire({ loads: new Map([[1.5, 'open']]) })).toThrow(/no channel 1.5/);
  });
});

describe('wrong loads', () => {
  it('that are open keep the voltage of a stiff amplifier and carry no current', async () => {
    const player = await open();
    player.bench.miswire({ loads: new Map([[2, 'open']]) });
    const { channels, currents } = await player.hear(1000, LEVELS);
    expect(channels[1]!.fundamental_rms * Math.SQRT2).toBeCloseTo(0.2, 6);
    expect(currents[1]!.rms).toBe(0);
    expect(currents[0]!.rms).toBeGreaterThan(0);
  });

  it('that are open get the whole voltage behind a resistance of 2 ohm: 10 / 8 of that of 8 ohm', async () => {
    const player = await open('output: { resistance: 2 ohm }');
    const [loaded] = await player.peaks(1000, LEVELS);
    player.bench.miswire({ loads: new Map([[1, 'open']]) });
    const [unloaded] = await player.peaks(1000, LEVELS);
    expect(unloaded! / loaded!).toBeCloseTo(1.25, 5);
  });

  it.each([
    [4, 4],
    ['short', 0.02],
  ] as const)('of %s in place of 8 ohm follow from Ohm and the divider', async (load, ohm) => {
    const player = await open('output: { resistance: 2 ohm }');
    player.bench.miswire({ loads: new Map([[1, load]]) });
    const { channels, currents } = await player.hear(1000, LEVELS);
    const exact_V = 0.2 * 4 * 10 * (ohm / (ohm + 2));
    expect((channels[0]!.fundamental_rms * Math.SQRT2 * 80) / exact_V).toBeCloseTo(1, 6);
    const amps = currents[0]!.fundamental_rms * Math.SQRT2 * (2 / 0.1);
    expect(amps / (exact_V / ohm)).toBeCloseTo(1, 6);
  });

  it('that are short run into the current limit', async () => {
    const player = await open('output: { current_limit: 5 A }');
    player.bench.miswire({ loads: new Map([[1, 'short']]) });
    const { currents } = await player.hear(1000, LEVELS);
    // 8 V peak into 20 mohm is far beyond 5 A: a square wave, whose rms is its peak but for the filters' ringing.
    expect(currents[0]!.rms * (2 / 0.1)).toBeGreaterThan(4.8);
    expect(currents[0]!.rms * (2 / 0.1)).toBeLessThan(5.1);
  });

  it('follow the channel to the other load and leave with it', async () => {
    const player = await open('output: { resistance: 2 ohm }');
    const { bench } = player;
    bench.miswire({ loads: new Map([[1, 3]]) });
    await bench.configure({ load_ohm: 4, driven: [1, 2, 3] });
    const [wrong] = await player.peaks(1000, LEVELS);
    bench.miswire({});
    const [right] = await player.peaks(1000, LEVELS);
    expect(wrong! / right!).toBeCloseTo(3 / 5 / (4 / 6), 6);
    await bench.configure({ load_ohm: 8, driven: [1, 2, 3] });
    expect((await player.peaks(1000, LEVELS))[0]).toBeCloseTo(0.1 * 0.8, 6);
  });
});
