import { describe, expect, it } from 'vitest';
import type { SignalSource } from '../../../src/bench/bench.js';
import type { SimulatedBench } from '../../../src/bench/simulated/simulated-bench.js';
import { TruthStand, twinOf } from './truth-stand.js';

const FRAMES = 4096;

/** Two channels of unlike, ever changing samples. */
const codes = (start: number, frames: number) =>
  [0.5, 0.25].map((peak) =>
    Float64Array.from(
      { length: frames },
      (_, n) => peak * Math.sin(0.01 * (start + n) + 1e-7 * (start + n) ** 2),
    ),
  );
const source: SignalSource = { horizonFrames: FRAMES, render: codes };

async function captured(bench: SimulatedBench): Promise<readonly Float64Array[]> {
  const channels = [new Float64Array(FRAMES), new Float64Array(FRAMES)];
  for await (const block of bench.play(source)) {
    block.channels.forEach((samples, i) => {
      channels[i]!.set(samples, block.start);
    });
    if (block.start + block.channels[0]!.length >= FRAMES) break;
  }
  return channels;
}

const CHAIN = { outputFullScale_Vpk: 4, inputFullScale_Vpk: 8, attenuator_ratio: 10 };
const open = (more: string) => new TruthStand(twinOf(more), { channels: 2, chain: CHAIN }).open();

describe('wiring', () => {
  it('of a loop gives every frame back in its place, whatever the latency', async () => {
    const { bench } = await open('interface: { latency: 37 }\ntruth: { output_level: 1 % }');
    await bench.configure({ load_ohm: 8, driven: [1, 2], wiring: 'loop' });
    const back = await captured(bench);
    codes(0, FRAMES).forEach((played, i) => {
      for (let n = 0; n < FRAMES; n += 1) expect(back[i]![n]).toBeCloseTo(0.505 * played[n]!, 14);
    });
  });

  it('through the attenuator divides by the true ratio', async () => {
    const { bench } = await open('truth: { attenuator: 2 % }');
    await bench.configure({ load_ohm: 8, driven: [1, 2], wiring: 'loop-through-attenuator' });
    const back = await captured(bench);
    codes(0, FRAMES).forEach((played, i) => {
      for (let n = 0; n < FRAMES; n += 1) expect(back[i]![n]).toBeCloseTo((0.5 * played[n]!) / 10.2, 14);
    });
  });

  it('that is open leaves the inputs with their noise alone', async () => {
    const { bench } = await open('interface: { input_noise: 4 mV, output_noise: 1 V }');
    await bench.configure({ load_ohm: 8, driven: [1, 2], wiring: 'open' });
    const [one] = await captured(bench);
    const rms = Math.sqrt(one!.reduce((sum, x) => sum + x * x, 0) / FRAMES);
    // 4 mV in 20 kHz, white up to 24 kHz; 4096 samples tell it within 1.1 % (1 sigma).
    expect(rms / ((0.004 * Math.sqrt(1.2)) / 8)).toBeCloseTo(1, 1.3);
  });

  it('to the unit again finds it as it would be after as long a rest', async () => {
    const hot =
      'heat: { resistance: 1 K/W, time: 5 s }\nprotection: { current: 30 A }\noutput: { resistance: 1 ohm }';
    const warmed = async () => {
      const player = await open(hot);
      await player.hear(1000, [0.9, 0.9]);
      return player.bench;
    };
    const [looped, rested] = [await warmed(), await warmed()];
    const before = looped.temperature_C;
    await looped.configure({ load_ohm: 8, driven: [1, 2], wiring: 'loop' });
    const began_s = looped.now_s();
    await captured(looped);
    await looped.configure({ load_ohm: 8, driven: [1, 2] });
    await rested.idle(looped.now_s() - began_s);
    expect(before).toBeGreaterThan(50);
    expect(looped.temperature_C).toBeLessThan(before - 0.5);
    // The lead of a play is not on the clock.
    expect(looped.temperature_C).toBeCloseTo(rested.temperature_C, 1);
  });

  it('left out means the unit', async () => {
    const { bench } = await open('');
    await bench.configure({ load_ohm: 8, driven: [1, 2], wiring: 'loop' });
    await bench.configure({ load_ohm: 8, driven: [1, 2] });
    const back = await captured(bench);
    // Gain 10, attenuator 10, 4 V out, 8 V in.
    for (let n = 1000; n < FRAMES; n += 1) expect(back[0]![n]).toBeCloseTo(0.5 * codes(n, 1)[0]![0]!, 9);
  });
});

describe('loads that are not connected', () => {
  it('cool while others play', async () => {
    const load = { heating_K_per_W: 1, thermal_s: 2, tempco_per_K: 1e-3 };
    const player = await new TruthStand(twinOf(), { load, chain: { outputFullScale_Vpk: 4 } }).open();
    const { bench } = player;
    await player.hear(1000, [0.9]);
    await bench.configure({ load_ohm: 4, driven: [1] });
    const warm_C = bench.loadState(1, 8).temperature_C;
    await bench.idle(2);
    expect(warm_C).toBeGreaterThan(50);
    expect((bench.loadState(1, 8).temperature_C - 25) / (warm_C - 25)).toBeCloseTo(Math.exp(-1), 9);
  });
});
