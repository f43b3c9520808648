import type { ChannelChain } from '../../src/calibration/chain.js';
import type { CurveReading } from '../../src/calibration/crossing-budget.js';
import { limits } from '../../src/measure/budget.js';
import { plainChain, plainLoad } from './plain-chain.js';

/** A channel of the worked case: attenuator within 0.2 %, converter within 0.3 %, load within 0.5 %. */
export function workedChain(changes: Partial<ChannelChain> = {}): ChannelChain {
  return plainChain(1, {
    inputStated: [limits('input 1: meter', 0.3)],
    attenuatorStated: [limits('attenuator 1: meter', 0.2)],
    loads: [workedLoad()],
    ...changes,
  });
}

export const workedLoad = (changes: Parameters<typeof plainLoad>[1] = {}) =>
  plainLoad(8, { stated: [limits('load 1: meter', 0.5)], ...changes });

/** 100 W into 8 ohm at 1 kHz with 0.1 % THD+N, nearly all of it third harmonic, in a record of about two thirds of a second. */
export function measured(changes: Partial<CurveReading> = {}): CurveReading {
  const voltage_V = Math.sqrt(800);
  return {
    chain: workedChain(),
    load: workedLoad(),
    warm_ohm: 8,
    frequency_Hz: 1000,
    voltage_V,
    noise_V: 0,
    bandwidth_Hz: 19_980,
    seconds: 0.68,
    levelMoved: 0,
    thdn_percent: 0.1,
    harmonics: [{ order: 3, frequency_Hz: 3000, rms: voltage_V * 1e-3 }],
    floor_percent: 0,
    residueMoved: 0,
    ...changes,
  };
}
