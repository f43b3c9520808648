import { describe, expect, it } from 'vitest';
import { analyse } from '../../../src/measure/analyse.js';
import { TruthStand, twinOf } from './truth-stand.js';

const CURRENT = { input: 2, fullScale_Vpk: 2, shunt_ohm: 0.1, stated: null };
const CHAIN = { outputFullScale_Vpk: 4, inputFullScale_Vpk: 80, current: CURRENT };
const AMPS = CURRENT.fullScale_Vpk / CURRENT.shunt_ohm;
const open = (more: string, load = {}) => new TruthStand(twinOf(more), { chain: CHAIN, load }).open();

describe('a current shunt', () => {
  it.each([8, 4, 2])('shows volts over ohms at %d ohm', async (load_ohm) => {
    const player = await open('');
    await player.bench.configure({ load_ohm, driven: [1] });
    const { channels, currents } = await player.hear(1000, [0.5]);
    const volts = channels[0]!.fundamental_rms * 80;
    const amps = currents[0]!.fundamental_rms * AMPS;
    expect(volts / amps / load_ohm).toBeCloseTo(1, 9);
    expect(volts * Math.SQRT2).toBeCloseTo(20, 5);
    expect(currents[0]!.fundamental_phase_rad).toBeCloseTo(channels[0]!.fundamental_phase_rad, 9);
  });

  it('reads too high by the share by which its shunt is', async () => {
    const [exact, off] = [await open(''), await open('truth: { current: 0.3 % }')];
    const read = async (player: TruthStand) => (await player.hear(1000, [0.5])).currents[0]!.fundamental_rms;
    expect((await read(off)) / (await read(exact))).toBeCloseTo(1.003, 12);
    expect(off.bench.trueChain(1).shunt_ohm).toBeCloseTo(0.1003, 15);
  });

  it('shows the true resistance of a load that is warm', async () => {
    const load = { heating_K_per_W: 2, tempco_per_K: 1e-3, thermal_s: 0.05 };
    const player = await open('truth: { load: 1 % }', load);
    let warm_ohm = 0;
    const { channels, currents } = await player.hear(1000, [0.9], () => {
      warm_ohm = player.bench.loadState(1, 8).ohm;
    });
    const seen = (channels[0]!.fundamental_rms * 80) / (currents[0]!.fundamental_rms * AMPS);
    // 36 V peak: some 80 W, 160 K and 16 %.
    expect(warm_ohm).toBeGreaterThan(9);
    // Temperature breathes with the cycles that fall into a stretch.
    expect(seen / warm_ohm).toBeCloseTo(1, 3.5);
  });

  it('shows |R + jwL| of an inductive load at 20 kHz within 0.05 %', async () => {
    const player = await open('', { inductance_H: 10e-6 });
    const { channels, currents, frequency_Hz } = await player.hear(20_000, [0.5]);
    const seen = (channels[0]!.fundamental_rms * 80) / (currents[0]!.fundamental_rms * AMPS);
    const exact = Math.hypot(8, 2 * Math.PI * frequency_Hz * 10e-6);
    expect(exact / 8).toBeGreaterThan(1.01);
    expect(Math.abs(seen / exact - 1)).toBeLessThan(5e-4);
  });

  it('has the noise and the rounding of an input of its own', async () => {
    const player = await open('interface: { input_noise: 3 mV, bits: 12 }');
    const records: [Float64Array, Float64Array] = [new Float64Array(65_536), new Float64Array(65_536)];
    for await (const { start, channels, currents } of player.bench.play({
      horizonFrames: 65_536,
      render: (_, frames) => [new Float64Array(frames)],
    })) {
      [channels[0]!, currents![0]!].forEach((samples, i) => {
        records[i]!.set(samples, start);
      });
      if (start + channels[0]!.length >= 65_536) break;
    }
    const [voltage, current] = records.map(
      (record) => analyse([record], { rate_Hz: 48_000, band: [20, 23_900] })[0]!.rms,
    );
    // 3 mV in 20 kHz up to 24 kHz, and TPDF rounding of LSB^2 / 4, on 2 V and on 80 V at full scale.
    const lsb = 2 ** -11;
    const exact = (fullScale_V: number) => Math.hypot((0.003 * Math.sqrt(1.2)) / fullScale_V, lsb / 2);
    expect(current! / exact(2)).toBeCloseTo(1, 1.5);
    expect(voltage! / exact(80)).toBeCloseTo(1, 1.5);
    const product = records[0].reduce((sum, x, n) => sum + x * records[1][n]!, 0) / 65_536;
    // Independent noises: correlation 0 within 4 sigma of 1 / root N.
    expect(Math.abs(product / (voltage! * current!))).toBeLessThan(4 / 256);
  });

  it('reads nothing in a loop', async () => {
    const player = await open('');
    await player.bench.configure({ load_ohm: 8, driven: [1], wiring: 'loop' });
    expect((await player.hear(1000, [0.5])).currents[0]!.rms).toBe(0);
  });
});
