import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { readBench } from '../../../src/bench/bench-file.js';
import { openSimulated } from '../../../src/bench/simulated/open-simulated.js';
import type { SimulatedBench } from '../../../src/bench/simulated/simulated-bench.js';
import { analyse } from '../../../src/measure/analyse.js';
import { coherentTone } from '../../../src/signal/coherent-tone.js';
import { toneSource } from '../../signal/tone-source.js';

const path = fileURLToPath(new URL('../../../benches/installed-eight.yaml', import.meta.url));
const setup = readBench(readFileSync(path), path);
const ALL = [1, 2, 3, 4, 5, 6, 7, 8];
const TONE = coherentTone({ nominal_Hz: 1000, rate_Hz: 48_000 });

/** What channel 1 gives at 1 kHz, in true watts, and what its load looks like from outside. */
async function channelOne(driven: readonly number[], load_ohm: number, power_W: number) {
  const bench = openSimulated(setup);
  await bench.open();
  await bench.configure({ load_ohm, driven });
  const chain = bench.trueChain(1);
  // Gain 28 dB, less what the output's 0.04 ohm take.
  const ohm = chain.load(load_ohm).cold_ohm;
  const peak = Math.sqrt(2 * power_W * ohm) / 10 ** 1.4 / (ohm / (ohm + 0.04)) / chain.outputFullScale_Vpk;
  const { voltage, current } = await records(bench, driven, peak);
  const scale_V = chain.inputFullScale_Vpk * chain.attenuator_ratio;
  const amps = chain.currentFullScale_Vpk! / chain.shunt_ohm!;
  const seen_ohm = (voltage.fundamental_rms * scale_V) / (current.fundamental_rms * amps);
  return { power_W: (voltage.rms * scale_V) ** 2 / ohm, thdn_percent: voltage.thdn_percent, seen_ohm, ohm };
}

async function records(bench: SimulatedBench, driven: readonly number[], peak: number) {
  const peaks = ALL.map((channel) => (driven.includes(channel) ? peak : 0));
  const source = toneSource([{ at: 0, tone: TONE, peaks, rampFrames: 480 }], 8);
  // The supply comes to rest within half a second.
  const from = 2048 * 12;
  const [volts, amps] = [new Float64Array(TONE.frames), new Float64Array(TONE.frames)];
  for await (const { start, channels, currents } of bench.play(source)) {
    const at = start - from;
    if (at < 0) continue;
    volts.set(channels[0]!.subarray(0, TONE.frames - at), at);
    amps.set(currents![0]!.subarray(0, TONE.frames - at), at);
    if (at + channels[0]!.length >= TONE.frames) break;
  }
  const [voltage, current] = [volts, amps].map(
    (record) => analyse([record], { rate_Hz: 48_000, band: [20, 20_000], tone: TONE, gaps: false })[0]!,
  );
  return { voltage: voltage!, current: current! };
}

describe('the eight-channel bench that ships', () => {
  it('has eight channels with loads of 8 and 4 ohm and a current shunt each on inputs of its own', () => {
    expect(setup.channels.map(({ channel }) => channel)).toEqual(ALL);
    expect(setup.channels.map(({ current }) => current!.input)).toEqual(ALL.map((channel) => channel + 8));
    for (const { loads } of setup.channels)
      expect(loads.map(({ nominal_ohm }) => nominal_ohm)).toEqual([8, 4]);
  });

  it('gives 55 W cleanly with one channel driven, and no more than 42 W with all', async () => {
    const alone = await channelOne([1], 8, 55);
    expect(alone.thdn_percent).toBeLessThan(0.1);
    expect(alone.power_W).toBeCloseTo(55, 1);
    const together = await channelOne(ALL, 8, 55);
    expect(together.thdn_percent).toBeGreaterThan(3);
    const less = await channelOne(ALL, 8, 38);
    expect(less.thdn_percent).toBeLessThan(0.1);
    expect(less.power_W).toBeCloseTo(38, 1);
    const more = await channelOne(ALL, 8, 44);
    expect(more.thdn_percent).toBeGreaterThan(1);
  });

  it('gives 100 W into 4 ohm with one channel driven, and shows by its tap that these are 4 ohm', async () => {
    const { power_W, thdn_percent, seen_ohm, ohm } = await channelOne([1], 4, 100);
    expect(thdn_percent).toBeLessThan(0.1);
    expect(power_W).toBeCloseTo(100, 0);
    // Two seconds of 100 W warm it by half a kelvin: 30 ppm.
    expect(seen_ohm / ohm).toBeCloseTo(1, 4);
  });
});
