import { describe, expect, it } from 'vitest';
import { trueChain } from '../../../src/bench/simulated/true-chain.js';
import { withTruth } from '../../../src/bench/simulated/twin.js';
import { TruthStand, twinOf } from './truth-stand.js';
import { setupFor } from './twin-stand.js';

const TRUTH =
  'truth: { output_level: 2 %, input_level: -1 %, attenuator: 0.5 %, output_corner: 150 kHz, input_corner: 90 kHz, channels: [{ channel: 2, input_level: 3 %, attenuator: -0.7 % }] }\ninterface: { coupling: 2 Hz }';
const CHAIN = { outputFullScale_Vpk: 4, inputFullScale_Vpk: 6, attenuator_ratio: 25 };
const stand = () => new TruthStand(twinOf(TRUTH), { channels: 2, chain: CHAIN }).open();
const linear = (level_dB: number) => 10 ** (level_dB / 20);

describe('what is true of a chain', () => {
  it('is the deviation of all channels, or the own one of a channel, applied to what the bench believes', async () => {
    const [one, two] = [1, 2].map((channel) =>
      trueChain(setupFor({ channels: 2, chain: CHAIN }), twinOf(TRUTH), channel),
    );
    // The corners take 0.0002 dB and 0.0005 dB off at 1 kHz, the coupling of 2 Hz 2e-6.
    expect(one!.outputFullScale_Vpk / (4 * 1.02)).toBeCloseTo(1 / Math.hypot(1, 1 / 150), 5);
    expect(one!.inputFullScale_Vpk / (6 / 0.99)).toBeCloseTo(Math.hypot(1, 1 / 90), 5);
    expect(one!.attenuator_ratio).toBeCloseTo(25 * 1.005, 12);
    expect(two!.outputFullScale_Vpk).toBe(one!.outputFullScale_Vpk);
    expect(two!.inputFullScale_Vpk / one!.inputFullScale_Vpk).toBeCloseTo(0.99 / 1.03, 12);
    expect(two!.attenuator_ratio).toBeCloseTo(25 * 0.993, 12);
  });

  it('falls as its RC corners do, relative to 1 kHz', () => {
    const chain = trueChain(setupFor({ channels: 2, chain: CHAIN }), twinOf(TRUTH), 1);
    // -10 lg(1 + (f / corner)^2), less the same at 1 kHz; coupling of 2 Hz at 20 Hz: -0.0432 dB.
    expect(chain.inputResponse_dB(1000)).toBe(0);
    expect(chain.inputResponse_dB(20_000)).toBeCloseTo(-0.20878, 2);
    expect(chain.outputResponse_dB(20_000)).toBeCloseTo(-0.07634, 2);
    expect(chain.inputResponse_dB(20)).toBeCloseTo(-0.04321 + 0.00054, 4);
  });

  it.each([20, 1000, 6300, 20_000])('is what a loop at %d Hz shows to nine digits', async (nominal_Hz) => {
    const player = await stand();
    const { bench } = player;
    await bench.configure({ load_ohm: 8, driven: [1, 2], wiring: 'loop' });
    const { channels, frequency_Hz } = await player.hear(nominal_Hz, [0.5, 0.5]);
    channels.forEach(({ fundamental_rms }, i) => {
      const chain = bench.trueChain(i + 1);
      const response_dB = chain.outputResponse_dB(frequency_Hz) + chain.inputResponse_dB(frequency_Hz);
      const exact = (0.5 * chain.outputFullScale_Vpk * linear(response_dB)) / chain.inputFullScale_Vpk;
      expect((fundamental_rms * Math.SQRT2) / exact).toBeCloseTo(1, 9);
    });
  });

  it('holds through the attenuator and behind the unit', async () => {
    const player = await stand();
    const { bench } = player;
    const chains = [1, 2].map((channel) => bench.trueChain(channel));
    await bench.configure({ load_ohm: 8, driven: [1, 2], wiring: 'loop-through-attenuator' });
    const looped = await player.peaks(1000, [0.9, 0.9]);
    await bench.configure({ load_ohm: 8, driven: [1, 2], wiring: 'unit' });
    const driven = await player.peaks(1000, [0.9, 0.9]);
    chains.forEach((chain, i) => {
      const exact = (0.9 * chain.outputFullScale_Vpk) / chain.attenuator_ratio / chain.inputFullScale_Vpk;
      expect(looped[i]! / exact).toBeCloseTo(1, 6);
      // The unit's gain is 10.
      expect(driven[i]! / looped[i]!).toBeCloseTo(10, 9);
    });
  });

  it('has loads that differ in resistance, temperature coefficient and heating, and from the temperature of their label', () => {
    const load = { tempco_per_K: 1e-3, heating_K_per_W: 0.5, measuredAt_C: 20, inductance_H: 2e-6 };
    const twin = twinOf('truth: { load: 1 %, tempco: 10 %, heating: -20 % }\nheat: { ambient: 25 degC }');
    const chain = trueChain(setupFor({ load }), twin, 1);
    const true8 = chain.load(8);
    expect(true8.cold_ohm).toBeCloseTo(8 * 1.01 * (1 + 5 * 1.1e-3), 12);
    expect(true8.tempco_per_K).toBeCloseTo(1.1e-3, 15);
    expect(true8.heating_K_per_W).toBeCloseTo(0.4, 15);
    expect(true8.inductance_H).toBe(2e-6);
    expect(() => chain.load(6)).toThrow(/channel 1 has no load of 6 ohm/);
  });

  it('can be laid over a twin in code, for all channels and for single ones', () => {
    const setup = setupFor({ channels: 3, chain: CHAIN });
    const twin = withTruth(twinOf(TRUTH), { outputLevel: -0.03 }, new Map([[3, { attenuator: 0.02 }]]));
    const [one, two, three] = [1, 2, 3].map((channel) => trueChain(setup, twin, channel));
    expect(one!.outputFullScale_Vpk / (4 * 0.97)).toBeCloseTo(1, 4);
    // Channel 2 keeps the truth that it had of its own, and takes that of all.
    expect(two!.attenuator_ratio).toBeCloseTo(25 * 0.993, 12);
    expect(two!.outputFullScale_Vpk).toBe(one!.outputFullScale_Vpk);
    expect(three!.attenuator_ratio).toBeCloseTo(25 * 1.02, 12);
    expect(three!.inputFullScale_Vpk).toBe(one!.inputFullScale_Vpk);
  });
});
