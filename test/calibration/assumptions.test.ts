import { describe, expect, it } from 'vitest';
import { assumptions } from '../../src/calibration/assumptions.js';
import type { ChannelChain } from '../../src/calibration/chain.js';
import { calibration } from '../../src/calibration/record-basis.js';
import { plainChain, plainLoad } from './plain-chain.js';

const STATED = [calibration('x', 'bench file', 0.1)];
const known = (channel: number, changes: Partial<ChannelChain> = {}) =>
  plainChain(channel, {
    outputStated: STATED,
    inputStated: STATED,
    attenuatorStated: STATED,
    flatness_dB: 0.1,
    current: { input: 9, fullScale_Vpk: 1, shunt_ohm: 0.1, stated: STATED },
    loads: [plainLoad(8, { stated: STATED, tempco_per_K: 1e-7, heating_K_per_W: 1 })],
    ...changes,
  });
const bench = (channels: readonly ChannelChain[], changes = {}) => ({
  channels,
  floor: { kind: 'stated' as const, thdn_percent: 0.001 },
  clockLimits_ppm: 50,
  kind: 'audio',
  ...changes,
});

describe('assumptions', () => {
  it('are none where everything is stated', () =>
    expect(assumptions(bench([known(1), known(2)]))).toEqual([]));

  it('name every part of which nothing is stated, and what follows', () => {
    const said = assumptions(
      bench([plainChain(1, { loads: [plainLoad(8), plainLoad(4, { measured_ohm: 4.02 })] })], {
        floor: null,
        clockLimits_ppm: null,
      }),
    );
    expect(said).toEqual([
      'Channel 1: the uncertainty of the output is not stated; gains get no uncertainty.',
      'Channel 1: the uncertainty of the input is not stated; volts and powers get no uncertainty.',
      'Channel 1: the uncertainty of the attenuator is not stated; volts and powers get no uncertainty.',
      'Channel 1: the uncertainty of the 8 ohm load is not stated (its nominal value is used); powers get no uncertainty.',
      'Channel 1: the 8 ohm load is assumed to keep its resistance when warm.',
      'Channel 1: the uncertainty of the 4 ohm load is not stated (4.02 ohm is used); powers get no uncertainty.',
      'Channel 1: the 4 ohm load is assumed to keep its resistance when warm.',
      'Channel 1: the frequency response is assumed flat; volts and powers far from 1 kHz get no uncertainty.',
      'Channel 1: no current shunt, nominal load assumed.',
      'The residual of the bench is not stated: no reading is flagged as limited by the bench.',
      "The interface's clock is assumed exact: no frequency gets an uncertainty.",
    ]);
  });

  it('are said once for all channels of which they hold', () => {
    const open = { inputStated: null };
    const channels = [1, 2, 3, 4, 5, 6, 7].map((n) => known(n, n === 2 || n === 6 ? {} : open));
    expect(assumptions(bench(channels))).toEqual([
      'Channels 1, 3 to 5 and 7: the uncertainty of the input is not stated; volts and powers get no uncertainty.',
    ]);
    expect(assumptions(bench([known(1, open), known(2, open)]))[0]).toMatch(/^Channels 1 and 2: /);
  });

  it('count on the temperature of the room only for a load that changes with it', () => {
    const load = (measuredAt_C: number | null, tempco_per_K: number) =>
      known(1, {
        loads: [plainLoad(8, { stated: STATED, tempco_per_K, heating_K_per_W: 0.6, measuredAt_C })],
      });
    // 50 ppm/K x 0.6 K/W x 250 W = 0.75 %.
    expect(assumptions(bench([load(null, 50e-6)]))).toEqual([
      'Channel 1: the 8 ohm load is assumed to have been measured at room temperature.',
    ]);
    expect(assumptions(bench([load(24, 50e-6)]))).toEqual([]);
    expect(assumptions(bench([load(null, 3e-6)]))).toEqual([]);
  });

  it('do not count the clock of a simulated bench, which is perfect', () => {
    expect(assumptions(bench([known(1)], { kind: 'simulated', clockLimits_ppm: null }))).toEqual([]);
  });

  it('tell when the current shunt is a check only', () => {
    const tap = { input: 9, fullScale_Vpk: 1, shunt_ohm: 0.1, stated: null };
    expect(assumptions(bench([known(1, { current: tap })]))).toEqual([
      'Channel 1: the uncertainty of the current shunt is not stated; the ohms that it shows are a check only.',
    ]);
  });
});
