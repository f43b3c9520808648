/*
 * Each physical effect of a twin alone, against its closed form. Formulae: Fourier series of clipped and
 * triangular waves, Ohm's law, class-B dissipation (Pmax 4/pi^2), first-order heating: textbook circuit theory.
 */
import { describe, expect, it } from 'vitest';
import { TwinStand, watts } from '../bench/simulated/twin-stand.js';

/** Gain 20, clipping at 40 V, with more keys. */
const twin = (more = '', supply = 'regulated: 40 V') =>
  `twin: Invented\ngain: 26.02059991328 dB\nsupply: { ${supply} }\n${more}\n`;

const dB = (ratio: number) => 10 * Math.log10(ratio);

describe('clipping', () => {
  it('with unlike limits has the DC and even harmonics of the closed form: A = 1.2, +1, -1.1', async () => {
    // dc -0.01601351, y1 1.13512864, h2 0.02675555, h3 0.05074261 (conduction-angle Fourier series).
    const stand = await new TwinStand(twin('', 'regulated: 40 V, negative: 44 V')).connect(8);
    const [reading] = await stand.read(1000, [2.4]);
    const peak = (rms: number) => (rms * Math.SQRT2) / 40;
    const harmonic = (order: number) => reading!.harmonics.find((h) => h.order === order)!.rms;
    expect(reading!.dc / 40).toBeCloseTo(-0.01601351, 5);
    expect(peak(reading!.fundamental_rms)).toBeCloseTo(1.13512864, 5);
    expect(peak(harmonic(2))).toBeCloseTo(0.02675555, 5);
    expect(peak(harmonic(3))).toBeCloseTo(0.05074261, 5);
  });

  it('stops short of the rail by the drop and by the on-resistance', async () => {
    // 40 V less 4 V, of which 8 / (8 + 1) reaches the load: a square wave of 32 V in the limit.
    const stand = await new TwinStand(twin('output: { drop: 4 V, on_resistance: 1 ohm }')).connect(8);
    const [volts] = await stand.volts(stand.tone(100), [9]);
    expect(Math.max(...volts!.filter((v) => Math.abs(v) < 40))).toBeGreaterThan(31.9);
    const plateau = volts!.filter((v) => Math.abs(v) > 30 && Math.abs(v) < 34);
    const mean = plateau.reduce((sum, v) => sum + Math.abs(v), 0) / plateau.length;
    expect(Math.abs(mean / 32 - 1)).toBeLessThan(2e-3);
  });
});

describe('power into other loads', () => {
  // Just at the clip onset the peak is what the limits allow: P = V^2 / 2R.
  it.each([
    [8, 100],
    [4, 98],
    [2, 49],
  ])('a limit of 40 V and 7 A gives %d ohm %d W (P = min(V^2/2R, I^2 R/2))', async (ohm, expected_W) => {
    const stand = await new TwinStand(twin('output: { current_limit: 7 A }')).connect(ohm);
    const onset_Vpk = Math.sqrt(2 * expected_W * ohm) / 20;
    const [below] = await stand.read(1000, [0.999 * onset_Vpk]);
    const [above] = await stand.read(1000, [1.01 * onset_Vpk]);
    expect(watts(below!, ohm) / 0.999 ** 2).toBeCloseTo(expected_W, 6);
    expect(below!.thdn_percent).toBeLessThan(1e-6);
    // Closed form for k = 1.01, harmonics 2..20: THD_F 0.274709 %.
    expect(above!.thdn_percent).toBeCloseTo(0.2747, 3);
  });

  it.each([
    [0.25, 1.884083, 3.361111],
    [0.5, 1.783951, 2.89],
    [1, 1.62, 2.25],
  ])('a source of %d ohm gives x%d into 4 and x%d into 2 ohm (P ~ R/(R+r)^2)', async (r, four, two) => {
    const power = async (ohm: number) => {
      const stand = await new TwinStand(twin(`output: { resistance: ${r} ohm }`)).connect(ohm);
      const [reading] = await stand.read(1000, [1.5]);
      return watts(reading!, ohm);
    };
    const eight = await power(8);
    expect((await power(4)) / eight).toBeCloseTo(four, 5);
    expect((await power(2)) / eight).toBeCloseTo(two, 5);
  });
});

describe('slew limit of 2 V/us at 20 kHz', () => {
  const slow = twin('output: { slew: 2 V/us }');
  const onset_V = 2e6 / (2 * Math.PI * 20_000);

  it('passes 15.9 V peak (SR / 2 pi f) without distortion', async () => {
    const stand = await new TwinStand(slow, { rate_Hz: 192_000 }).connect(8);
    const [reading] = await stand.read(20_000, [(0.998 * onset_V) / 20], { band: [20, 90_000] });
    expect(reading!.thdn_percent).toBeLessThan(1e-6);
    expect(reading!.fundamental_rms * Math.SQRT2).toBeCloseTo(0.998 * onset_V, 6);
  });

  it('ends as a triangle of 25 V peak (SR / 4f) with a third harmonic of 1/9', async () => {
    const stand = await new TwinStand(slow, { rate_Hz: 192_000 }).connect(8);
    const [reading] = await stand.read(20_000, [1.99], { band: [20, 90_000], settle_s: 0.3 });
    // Fundamental of a triangle: 8/pi^2 of its peak; harmonics fall as 1/n^2.
    expect(reading!.fundamental_rms * Math.SQRT2).toBeCloseTo((25 * 8) / Math.PI ** 2, 1);
    const third = reading!.harmonics.find((h) => h.order === 3)!;
    // The corner's average droops by 2 % at 60 kHz.
    expect(third.rms / reading!.fundamental_rms / (1 / 9)).toBeCloseTo(0.981, 2);
  });

  it('at 1 kHz, driven to a triangle, reads 12.107 % THD (harmonics 2..20: closed form)', async () => {
    const stand = await new TwinStand(twin('output: { slew: 0.04 V/us }')).connect(8);
    const [triangle] = await stand.read(1000, [1.95], { settle_s: 0.3 });
    expect(triangle!.thd_percent!).toBeCloseTo(12.10673, 2);
  });
});

describe('output filter of 22 uH and 0.68 uF', () => {
  // |1 / (1 - w^2 LC + j w L / R)| at 20 kHz re DC: circuit theory.
  it.each([
    [16, 2.1241],
    [8, 1.532],
    [4, -0.2572],
    [2, -3.9691],
  ])('changes the level at 20 kHz into %d ohm by %d dB', async (ohm, expected_dB) => {
    const filtered = twin('output: { filter: { inductance: 22 uH, capacitance: 0.68 uF } }');
    for (const rate_Hz of [48_000, 192_000]) {
      const stand = await new TwinStand(filtered, { rate_Hz }).connect(ohm);
      const tone = stand.tone(20_000);
      const [reading] = await stand.read(20_000, [1]);
      const w = 2 * Math.PI * tone.frequency_Hz;
      const exact = 1 / Math.hypot(1 - w ** 2 * 22e-6 * 0.68e-6, (w * 22e-6) / ohm);
      const gain = (reading!.fundamental_rms * Math.SQRT2) / 20;
      expect(Math.abs(2 * dB(gain / exact))).toBeLessThan(0.002);
      expect(2 * dB(gain)).toBeCloseTo(expected_dB, 2);
    }
  });

  it('clips ahead of the filter: into 8 ohm the peak at 20 kHz stands above the rail', async () => {
    const filtered = twin('output: { kind: switching, filter: { inductance: 22 uH, capacitance: 0.68 uF } }');
    const stand = await new TwinStand(filtered, { rate_Hz: 192_000 }).connect(8);
    const [reading] = await stand.read(20_000, [1.95], { band: [20, 90_000] });
    expect(reading!.thdn_percent).toBeLessThan(0.001);
    expect(reading!.peak).toBeGreaterThan(46);
  });

  it('with an inductive load follows the four-element network', async () => {
    const filtered = twin(
      'output: { filter: { inductance: 22 uH, capacitance: 0.68 uF, resistance: 0.1 ohm } }',
    );
    const stand = await new TwinStand(filtered, { load: { inductance_H: 40e-6 } }).connect(4);
    const tone = stand.tone(15_000);
    const [reading] = await stand.read(15_000, [1]);
    const w = 2 * Math.PI * tone.frequency_Hz;
    // Z = (R + jwL) || 1/jwC behind r + jwLf.
    const [a, b] = [1 - w ** 2 * 40e-6 * 0.68e-6, w * 4 * 0.68e-6];
    const bottom = a ** 2 + b ** 2;
    const [re, im] = [(4 * a + w * 40e-6 * b) / bottom, (w * 40e-6 * a - 4 * b) / bottom];
    const exact = Math.hypot(re, im) / Math.hypot(re + 0.1, im + w * 22e-6);
    expect((reading!.fundamental_rms * Math.SQRT2) / 20 / exact).toBeCloseTo(1, 3.5);
  });
});

describe('curvature, crossover, noise, offset', () => {
  it('shows the stated harmonics at the stated level, and in proportion below it', async () => {
    const stand = await new TwinStand(twin('curvature: { second: 0.02 %, third: 0.01 %, at: 20 V }')).connect(
      8,
    );
    for (const share of [1, 0.5]) {
      const [reading] = await stand.read(1000, [share * Math.SQRT2]);
      const ratio = (order: number) =>
        reading!.harmonics.find((h) => h.order === order)!.rms / reading!.fundamental_rms;
      expect(ratio(2) / (2e-4 * share)).toBeCloseTo(1, 2.5);
      expect(ratio(3) / (1e-4 * share ** 2)).toBeCloseTo(1, 2.5);
    }
  });

  it('a sharp crossover has the harmonics of a square wave of the missing volts', async () => {
    // y = x - m sign(x): third harmonic m 4/(3 pi), fundamental A - m 4/pi (Fourier series of a square wave).
    const stand = await new TwinStand(twin('crossover: { missing: 100 mV, softness: 0 A }')).connect(8);
    const [reading] = await stand.read(1000, [1.9]);
    expect(reading!.fundamental_rms * Math.SQRT2).toBeCloseTo(38 - (0.1 * 4) / Math.PI, 3);
    const third = reading!.harmonics.find((h) => h.order === 3)!.rms * Math.SQRT2;
    expect(third / ((0.1 * 4) / (3 * Math.PI))).toBeCloseTo(1, 2.4);
  });

  it('a crossover hurts most at low level, and less where more idle current softens it', async () => {
    const read = async (softness: string, input_V: number) => {
      const stand = await new TwinStand(twin(`crossover: { missing: 20 mV, softness: ${softness} }`)).connect(
        8,
      );
      return (await stand.read(1000, [input_V]))[0]!.thdn_percent;
    };
    expect(await read('10 mA', 0.05)).toBeGreaterThan(5 * (await read('10 mA', 0.5)));
    expect(await read('10 mA', 0.05)).toBeGreaterThan(2 * (await read('200 mA', 0.05)));
  });

  it('noise has the stated volts in 20 kHz times the gain, at any rate', async () => {
    for (const rate_Hz of [48_000, 192_000]) {
      const stand = await new TwinStand(twin('noise: 50 uV'), { rate_Hz }).connect(8);
      const [reading] = await stand.read(1000, [1]);
      // 32 768 samples or more: one standard error of the rms is under 0.5 %.
      expect(reading!.noise_rms / (20 * 50e-6)).toBeCloseTo(1, 1.5);
    }
  });

  it('offset is seen as DC at the load', async () => {
    const stand = await new TwinStand(twin('output: { offset: 30 mV }')).connect(8);
    const [reading] = await stand.read(1000, [1]);
    expect(reading!.dc).toBeCloseTo(0.03, 6);
  });
});
