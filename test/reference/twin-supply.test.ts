/*
 * The unregulated supply against handbook formulae: ripple Vpp = I / (2 f C), sag and source resistance, and what
 * both do to the power; class-B currents Ipk / pi a rail.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { makeSupply } from '../../src/bench/simulated/supply.js';
import type { UnregulatedTwin } from '../../src/bench/simulated/twin.js';
import { atThdn, TwinStand, watts } from '../bench/simulated/twin-stand.js';

const STIFF_MAINS: UnregulatedTwin = {
  kind: 'unregulated',
  mains_V: 230,
  mains_Hz: 50,
  mainsResistance_ohm: 0,
  secondary_V: 45 / Math.SQRT2,
  nominalMains_V: 230,
  resistance_ohm: 0,
  rectifierDrop_V: 0,
  halfWave: false,
  reservoir_F: 0.01,
  hum: 0,
};
const STEP_S = 1 / 48_000;

/** Rails over one second, the draw being steady, once the supply has settled. */
function rails(twin: UnregulatedTwin, positive_A: number, negative_A = positive_A) {
  const supply = makeSupply(twin);
  let [sum, low, high] = [0, Number.POSITIVE_INFINITY, 0];
  for (let n = 0; n < 3 * 48_000; n += 1) {
    supply.step(positive_A, negative_A, STEP_S);
    if (n < 2 * 48_000) continue;
    sum += supply.positive_V;
    low = Math.min(low, supply.positive_V);
    high = Math.max(high, supply.positive_V);
  }
  return { mean_V: sum / 48_000, ripple_V: high - low, high_V: high };
}

describe('the reservoir', () => {
  // Class B, 100 W in 8 ohm: Ipk / pi = 1.591549 A. I / (2 f C) ignores the charging time: true ripple is
  // smaller, by acos(1 - Vpp / Vpk) / pi of it.
  it.each([
    [50, 1.591549],
    [60, 1.326291],
  ])('at %d Hz ripples by %d V and not more, less the charging time', (mains_Hz, handbook_V) => {
    const { ripple_V, high_V } = rails({ ...STIFF_MAINS, mains_Hz }, 5 / Math.PI);
    const charging = Math.acos(1 - ripple_V / high_V) / Math.PI;
    expect(ripple_V).toBeLessThan(handbook_V);
    expect(ripple_V / (handbook_V * (1 - charging))).toBeCloseTo(1, 2);
    expect(high_V).toBeCloseTo(45, 1);
  });

  it('ripples at once the mains frequency, and about twice as much, when half the rectifier is gone', () => {
    const full = rails(STIFF_MAINS, 1);
    const half = rails({ ...STIFF_MAINS, halfWave: true }, 1);
    expect(half.ripple_V / full.ripple_V).toBeGreaterThan(1.9);
    expect(half.ripple_V / full.ripple_V).toBeLessThan(2.2);
  });

  it('holds its peak with nothing drawn', () => {
    expect(rails(STIFF_MAINS, 0)).toEqual({ mean_V: 45, ripple_V: 0, high_V: 45 });
  });

  it('lets the mains resistance be shared: a draw on one rail pulls the other down', () => {
    const shared = { ...STIFF_MAINS, mainsResistance_ohm: 10, reservoir_F: 0.1 };
    const alone = rails(shared, 2, 0).mean_V;
    const both = rails(shared, 2, 2).mean_V;
    expect(both).toBeLessThan(alone - 0.5);
  });
});

const UNREGULATED = `unregulated: { mains: 230 V, frequency: 50 Hz, secondary: 31.82 V, resistance: RESISTANCE, reservoir: CAPACITY }`;
const twin = (resistance: string, capacity: string, more = '') =>
  `twin: Invented\ngain: 26.02059991328 dB\nsupply: { ${UNREGULATED.replace('RESISTANCE', resistance).replace('CAPACITY', capacity)} }\n${more}\n`;

describe('what the supply does to the power', () => {
  it('clipped ripple stands as sidebands at twice the mains, near the sawtooth figure', async () => {
    // Ripple on both rails modulates the clipped peaks: first sidebands Vpp / (2 pi) each re 45 V, handbook
    // sawtooth; charging time and the flat top's share leave it within 2 dB.
    const stand = await new TwinStand(twin('0 ohm', '10 mF')).connect(8);
    const tone = stand.tone(1000);
    const [reading] = await stand.read(1000, [6], { settle_s: 1 });
    const volts = (await stand.volts(tone, [6], 1))[0]!;
    const at = (hertz: number) => {
      const w = (2 * Math.PI * hertz) / 48_000;
      let [re, im] = [0, 0];
      volts.forEach((v, n) => {
        const hann = 1 - Math.cos((2 * Math.PI * n) / volts.length);
        re += v * hann * Math.cos(w * n);
        im += v * hann * Math.sin(w * n);
      });
      return Math.hypot(re, im) / volts.length;
    };
    const drawn_A = reading!.rms / 8 / 2;
    const ripple_V = drawn_A / (2 * 50 * 0.01);
    const sideband_dB = 20 * Math.log10(at(tone.frequency_Hz + 100) / at(tone.frequency_Hz));
    const sawtooth_dB = 20 * Math.log10(ripple_V / (2 * Math.PI) / 45);
    expect(Math.abs(sideband_dB - sawtooth_dB)).toBeLessThan(2);
    expect(at(tone.frequency_Hz + 50)).toBeLessThan(at(tone.frequency_Hz + 100) / 30);
  });

  it('power falls as the square of the rail: (1 - s)^2', async () => {
    // The same clipper on rails of 45 V and of 45 V less 10 %.
    const power = async (mains: number) => {
      const yaml = twin('0 ohm', '1 F').replace('mains: 230 V', `mains: ${mains} V, nominal_mains: 230 V`);
      const [reading] = await atThdn(await new TwinStand(yaml).connect(100), 1000, 1, [1.5, 2.6], {
        settle_s: 0.3,
      });
      return watts(reading!, 100);
    };
    expect((await power(207)) / (await power(230))).toBeCloseTo(0.81, 3);
  });

  it('gives less than twice the 8 ohm power into 4 ohm, and less at 20 Hz than at 1 kHz', async () => {
    const yaml = twin('0.3 ohm', '6.8 mF');
    const power = async (ohm: number, f: number) => {
      const stand = await new TwinStand(yaml).connect(ohm);
      const [reading] = await atThdn(stand, f, 1, [1, 2.6], { settle_s: 0.5, steps: 11 });
      return watts(reading!, ohm);
    };
    const eight = await power(8, 1000);
    expect((await power(4, 1000)) / eight).toBeLessThan(1.9);
    expect((await power(8, 20)) / eight).toBeLessThan(0.97);
  });
});

const shipped = (name: string) =>
  readFileSync(new URL(`../../benches/twins/${name}.yaml`, import.meta.url), 'utf8');

describe('the shipped twins show the physics', () => {
  const power = async (
    name: string,
    options: { ohm?: number; f?: number; channels: number; driven: number; rate_Hz?: number },
  ) => {
    const { ohm = 8, f = 1000, channels, driven, rate_Hz = 48_000 } = options;
    const stand = await new TwinStand(shipped(name), { channels, rate_Hz }).connect(ohm);
    const band = f > 6000 ? ([20, 80_000] as const) : ([20, 20_000] as const);
    let [low, high] = [0.5, 3];
    let level = 0;
    for (let step = 0; step < 9; step += 1) {
      const middle = (low + high) / 2;
      const input = Array.from({ length: channels }, (_, i) => (i < driven ? middle : 0));
      const [reading] = await stand.read(f, input, { settle_s: 0.4, band });
      level = watts(reading!, ohm);
      if (reading!.thdn_percent > 1) high = middle;
      else low = middle;
    }
    return level;
  };

  it('seven on one supply: about 107 W with two driven, about 75 W with all', async () => {
    const two = await power('seven-shared', { channels: 7, driven: 2 });
    const all = await power('seven-shared', { channels: 7, driven: 7 });
    expect(two).toBeGreaterThan(102);
    expect(two).toBeLessThan(112);
    expect(all).toBeGreaterThan(70);
    expect(all).toBeLessThan(79);
  });

  it('seven on one supply loses power at 20 Hz and gives less than double into 4 ohm', async () => {
    const middle = await power('seven-shared', { channels: 2, driven: 2 });
    expect((await power('seven-shared', { channels: 2, driven: 2, f: 20 })) / middle).toBeLessThan(0.96);
    expect((await power('seven-shared', { channels: 2, driven: 2, ohm: 4 })) / middle).toBeLessThan(1.8);
  });

  it('the stiff pair keeps its power at 20 Hz and nearly doubles it into 4 ohm', async () => {
    const middle = await power('stiff-pair', { channels: 2, driven: 2 });
    expect(middle).toBeGreaterThan(98);
    expect(middle).toBeLessThan(108);
    expect((await power('stiff-pair', { channels: 2, driven: 2, f: 20 })) / middle).toBeCloseTo(1, 1.7);
    const four = (await power('stiff-pair', { channels: 2, driven: 2, ohm: 4 })) / middle;
    expect(four).toBeGreaterThan(1.85);
    expect(four).toBeLessThan(2);
  });

  it('the switching twin loses half its 4 ohm power by 20 kHz, and none into 8 ohm', async () => {
    const middle = await power('switching-treble', { channels: 1, driven: 1, ohm: 4 });
    expect(middle).toBeGreaterThan(195);
    const treble = { channels: 1, driven: 1, f: 20_000, rate_Hz: 192_000 };
    expect((await power('switching-treble', { ...treble, ohm: 4 })) / middle).toBeLessThan(0.55);
    const eight = await power('switching-treble', { channels: 1, driven: 1 });
    expect((await power('switching-treble', treble)) / eight).toBeGreaterThan(1);
  });

  it('the repaired twin has crossover in channel 2 only, worst at low level, and hum at 100 Hz', async () => {
    const stand = await new TwinStand(shipped('repaired-crossover'), { channels: 2 }).connect(8);
    const [good, bad] = await stand.read(1000, [0.1, 0.1], { settle_s: 0.5 });
    const [, loud] = await stand.read(1000, [0.9, 0.9], { settle_s: 0.5 });
    expect(bad!.thd_percent!).toBeGreaterThan(15 * good!.thd_percent!);
    expect(bad!.thd_percent!).toBeGreaterThan(4 * loud!.thd_percent!);
  });
});
