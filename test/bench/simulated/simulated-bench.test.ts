import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import type { BenchSetup } from '../../../src/bench/bench-setup.js';
import { SimulatedBench } from '../../../src/bench/simulated/simulated-bench.js';
import { readTwin } from '../../../src/bench/simulated/twin-file.js';
import { benchContract } from '../contract.js';
import { setupFor, TwinStand } from './twin-stand.js';

const shipped = (name: string) =>
  readFileSync(new URL(`../../../benches/twins/${name}.yaml`, import.meta.url), 'utf8');
const twin = (more: string, supply = 'regulated: 40 V') =>
  `twin: Invented\ngain: 26.02059991328 dB\nsupply: { ${supply} }\n${more}\n`;
const benchFor = (yaml: string, channels: number) =>
  new SimulatedBench(setupFor({ channels }), readTwin(yaml, 'twin.yaml'));

benchContract('the simulated bench, ideal', async () => ({ bench: benchFor(shipped('ideal-40'), 2) }), {
  gain: 1,
  idleRatio: 1e-12,
});
benchContract(
  'the simulated bench with a noisy, drifting unit',
  async () => ({ bench: benchFor(shipped('stiff-pair'), 2) }),
  // 6 V at the load: the unit's noise is 2e-5 of it, its DC offset 1e-3.
  { peak: 0.03, gainTolerance: 1e-3, idleRatio: 2e-3 },
);

benchContract(
  'the simulated bench with one current shunt',
  async () => ({
    bench: new SimulatedBench(oneTap(), readTwin(shipped('stiff-pair'), 'twin.yaml')),
  }),
  { peak: 0.03, gainTolerance: 1e-3, idleRatio: 2e-3, currentTaps: [false, true] },
);

function oneTap(): BenchSetup {
  const setup = setupFor({ channels: 2 });
  const current = { input: 3, fullScale_Vpk: 2, shunt_ohm: 0.1, stated: null };
  return { ...setup, channels: [setup.channels[0]!, { ...setup.channels[1]!, current }] };
}

describe('virtual time', () => {
  it('lets a rest of an hour pass, and takes up the signal where it was', async () => {
    const stand = await new TwinStand(shipped('stiff-pair'), { channels: 2 }).connect(8);
    const [before] = await stand.read(1000, [0.5, 0.5]);
    const began_s = stand.bench.now_s();
    await stand.bench.idle(3600);
    expect(stand.bench.now_s() - began_s).toBeCloseTo(3600, 6);
    const [after] = await stand.read(1000, [0.5, 0.5]);
    // Some 3 K of idle heat at -15 ppm/K, and noise, are all that may change.
    expect(after!.rms / before!.rms).toBeCloseTo(1, 3.5);
  });

  it('repeats itself to the bit for the same seed, and not for another', async () => {
    const play = async (seed: number) => {
      const stand = await new TwinStand(shipped('stiff-pair'), { channels: 2, seed }).connect(8);
      return stand.volts(stand.tone(1000), [0.5, 0.5]);
    };
    const first = await play(1);
    expect(await play(1)).toEqual(first);
    expect((await play(2))[0]).not.toEqual(first[0]);
  });

  it('keeps all channels in step, whatever each is made of', async () => {
    const yaml = twin(
      'overrides:\n  - { channel: 2, output: { slew: 50 V/us, resistance: 0.1 ohm, filter: { inductance: 1 uH, capacitance: 1 nF } } }',
    );
    const stand = await new TwinStand(yaml, { channels: 2 }).connect(8);
    const [one, two] = await stand.read(1000, [1, 1]);
    expect(two!.fundamental_phase_rad - one!.fundamental_phase_rad).toBeCloseTo(0, 2);
  });
});

describe('what the bench file believes and what is true', () => {
  it('reads a true output level, input level and load that differ by the stated share', async () => {
    const read = async (truth: string) => {
      const stand = await new TwinStand(twin(`truth: { ${truth} }\noutput: { resistance: 1 ohm }`)).connect(
        8,
      );
      return (await stand.read(1000, [1]))[0]!.fundamental_rms;
    };
    const straight = await read('load: 0 %');
    expect((await read('output_level: 2 %')) / straight).toBeCloseTo(1.02, 9);
    expect((await read('input_level: -1 %')) / straight).toBeCloseTo(0.99, 9);
    // 8.4 / 9.4 against 8 / 9.
    expect((await read('load: 5 %')) / straight).toBeCloseTo(8.4 / 9.4 / (8 / 9), 9);
  });
});

describe('converters', () => {
  it('rounding to 16 bits leaves the dithered noise of theory (TPDF: LSB^2 / 4) in each direction', async () => {
    const stand = await new TwinStand(twin('interface: { bits: 16 }')).connect(8);
    const [reading] = await stand.read(1000, [1], { band: [20, 23_999] });
    const [out, back] = [(20 * 10) / 2 ** 16, 200 / 2 ** 16];
    expect(reading!.noise_rms / Math.hypot(out, back)).toBeCloseTo(1, 1.5);
  });

  it('stop at full scale', async () => {
    const stand = await new TwinStand(
      twin('truth: { input_level: 50 %, output_level: 50 % }', 'regulated: 900 V'),
    ).connect(8);
    const [volts] = await stand.volts(stand.tone(1000), [9]);
    expect(Math.max(...volts!)).toBe(200);
    expect(Math.min(...volts!)).toBe(-200);
  });

  it('coupling turns the phase and lowers the bass as one RC does', async () => {
    const stand = await new TwinStand(twin('coupling: 20 Hz')).connect(8);
    const tone = stand.tone(20);
    const [reading] = await stand.read(20, [1], { settle_s: 0.5 });
    const exact = 1 / Math.hypot(1, 20 / tone.frequency_Hz);
    expect((reading!.fundamental_rms * Math.SQRT2) / 20 / exact).toBeCloseTo(1, 4);
  });
});

describe('heat, relay and faults', () => {
  it('class B at 40.5 % of full power heats most: 4/pi^2 of the full power', async () => {
    // P = 2 V Vcc / (pi R) - V^2 / 2R, largest at V = 2 Vcc / pi: 0.405285 of Vcc^2 / 2R (textbook).
    const yaml = twin('heat: { ambient: 25 degC, resistance: 1 K/W, time: 0.1 s }');
    const stand = await new TwinStand(yaml).connect(8);
    await stand.volts(stand.tone(1000), [(2 * 2) / Math.PI], 1);
    // The ramp-down that ends a play lasts a good 40 ms; ask while it plays.
    const heat = await stand.temperatureWhile(1000, (2 * 2) / Math.PI, 1.5);
    expect((heat - 25) / (0.405285 * 100)).toBeCloseTo(1, 2.5);
  });

  it('shuts down when hot and starts again when cool', async () => {
    const yaml = twin('heat: { resistance: 2 K/W, time: 2 s, shutdown: 80 degC, restart: 50 degC }');
    const stand = await new TwinStand(yaml).connect(8);
    // 40.5 W for long would reach 106 degC: after 2 ln(81 / 26) = 2.3 s it is at 80.
    const [early] = await stand.read(1000, [1.27], { settle_s: 0.2 });
    const [late] = await stand.read(1000, [1.27], { settle_s: 2 });
    expect(early!.rms).toBeGreaterThan(17);
    expect(late!.rms).toBe(0);
    await stand.bench.idle(10);
    const [again] = await stand.read(1000, [0.1]);
    expect(again!.rms).toBeGreaterThan(1);
  });

  it('the relay opens after t ln(x^2 / (x^2 - 1)) of overload and closes again', async () => {
    const yaml = twin('protection: { current: 2 A, current_time: 1 s, recloses_after: 3 s }');
    const stand = await new TwinStand(yaml).connect(8);
    // 38 V peak in 8 ohm is 3.359 A: x = 1.68, so it opens after 0.437 s.
    const opened_s = await stand.silentAfter(1000, 1.9);
    expect(opened_s).toBeCloseTo(Math.log(1.6795 ** 2 / (1.6795 ** 2 - 1)), 1.4);
    await stand.bench.idle(4);
    const [again] = await stand.read(1000, [0.5]);
    expect(again!.rms).toBeGreaterThan(7);
  });

  it('the relay opens on DC, and stays open when no time is given', async () => {
    const yaml = twin(
      'protection: { dc: 2 V, dc_time: 0.5 s }\ndc_fault: { channel: 1, voltage: 6 V, after: 10 s }',
    );
    const stand = await new TwinStand(yaml).connect(8);
    const [before] = await stand.read(1000, [0.5]);
    expect(before!.dc).toBeCloseTo(0, 6);
    await stand.bench.idle(30);
    const [after] = await stand.read(1000, [0.5]);
    expect(after!.rms).toBe(0);
  });

  it('a DC fault without protection stands at the load', async () => {
    const stand = await new TwinStand(twin('dc_fault: { channel: 1, voltage: -6 V, after: 1 s }')).connect(8);
    await stand.bench.idle(2);
    const [reading] = await stand.read(1000, [0.5]);
    expect(reading!.dc).toBeCloseTo(-6, 6);
  });

  it('gain drifts with the temperature by the stated share', async () => {
    const yaml = twin(
      'output: { quiescent: 1 A }\nheat: { resistance: 0.5 K/W, time: 1 s, gain_drift: -500 ppm/K }',
    );
    const stand = await new TwinStand(yaml).connect(100);
    await stand.bench.idle(60);
    // 80 W idle in 0.5 K/W: 40 K above ambient.
    const [reading] = await stand.read(1000, [0.01]);
    expect((reading!.fundamental_rms * Math.SQRT2) / 0.2).toBeCloseTo(1 - 40 * 500e-6, 4);
  });

  it('a load warms with its own time and changes its resistance', async () => {
    const load = { heating_K_per_W: 2, tempco_per_K: 1e-3, thermal_s: 0.3 };
    const stand = await new TwinStand(twin('output: { resistance: 2 ohm }'), { load }).connect(8);
    const [cold] = await stand.read(1000, [0.01]);
    const [hot] = await stand.read(1000, [1.5], { settle_s: 3 });
    // Some 36 W, 72 K, 7 %: solved for the load's share R / (R + 2), each from the other.
    let ohm = 8;
    for (let i = 0; i < 30; i += 1) ohm = 8 * (1 + (1e-3 * 2 * (30 / (ohm + 2)) ** 2 * ohm) / 2);
    const expected = ohm / (ohm + 2) / (8 / 10);
    expect(hot!.fundamental_rms / cold!.fundamental_rms / 150 / expected).toBeCloseTo(1, 3.5);
  });
});

describe('faults of use', () => {
  it('refuses a bench with more channels than the twin', () => {
    expect(() => benchFor(shipped('stiff-pair'), 3)).toThrow(/only 2/);
  });

  it('says which loads there are when asked for another', async () => {
    const bench = benchFor(shipped('ideal-40'), 1);
    await bench.open();
    await expect(bench.configure({ load_ohm: 6, driven: [1] })).rejects.toMatchObject({
      code: 'LOAD_NOT_ON_BENCH',
    });
  });
});
