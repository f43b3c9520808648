import type { ChannelChain, Load } from '../../calibration/chain.js';
import { decibelsOfVoltage } from '../../units/decibel.js';
import type { BenchSetup } from '../bench-setup.js';
import { Coupling, LowPass } from './first-order.js';
import { channelTruth, type Twin } from './twin.js';

/** A load as it truly is. */
export interface TrueLoad {
  /** At the room's temperature. */
  readonly cold_ohm: number;
  readonly tempco_per_K: number;
  readonly heating_K_per_W: number;
  readonly inductance_H: number;
}

/**
 * One bench channel as it truly is, where its `ChannelChain` is what the bench file believes. Full scales are
 * those at 1 kHz. The converters' own distortion, far below a millionth of the level, is left out.
 */
export interface TrueChain {
  readonly outputFullScale_Vpk: number;
  readonly inputFullScale_Vpk: number;
  readonly attenuator_ratio: number;
  /** Of the current shunt; null where the channel has none. */
  readonly shunt_ohm: number | null;
  readonly currentFullScale_Vpk: number | null;
  /** Level of the way from converter code to output terminal, relative to 1 kHz. */
  outputResponse_dB(frequency_Hz: number): number;
  /** Level of the way from tap, or current shunt, to converter code, relative to 1 kHz. */
  inputResponse_dB(frequency_Hz: number): number;
  /** @throws RangeError when the bench file gives the channel no such load */
  load(nominal_ohm: number): TrueLoad;
}

const REFERENCE_HZ = 1000;

/** The truth about bench channel `channel` (from 1): what calibrations of the simulated bench should find. */
export function trueChain(setup: BenchSetup, twin: Twin, channel: number): TrueChain {
  const chain = setup.channels[channel - 1]!;
  const truth = channelTruth(twin, channel);
  const { rate_Hz } = setup;
  const coupling = twin.converters.coupling_Hz;
  const output = gainOf(truth.outputCorner_Hz, coupling, rate_Hz);
  const input = gainOf(truth.inputCorner_Hz, coupling, rate_Hz);
  return {
    outputFullScale_Vpk: chain.outputFullScale_Vpk * (1 + truth.outputLevel) * output(REFERENCE_HZ),
    inputFullScale_Vpk: chain.inputFullScale_Vpk / (1 + truth.inputLevel) / input(REFERENCE_HZ),
    attenuator_ratio: chain.attenuator_ratio * (1 + truth.attenuator),
    shunt_ohm: chain.current && chain.current.shunt_ohm * (1 + truth.current),
    currentFullScale_Vpk: chain.current && chain.current.fullScale_Vpk / input(REFERENCE_HZ),
    outputResponse_dB: (frequency_Hz) => decibelsOfVoltage(output(frequency_Hz) / output(REFERENCE_HZ)),
    inputResponse_dB: (frequency_Hz) => decibelsOfVoltage(input(frequency_Hz) / input(REFERENCE_HZ)),
    load: (nominal_ohm) => trueLoad(loadOf(chain, nominal_ohm), twin, channel),
  };
}

/** What a load is when nobody has measured it wrongly, in the twin's room. */
export function trueLoad(load: Load, twin: Twin, channel: number): TrueLoad {
  const truth = channelTruth(twin, channel);
  const tempco_per_K = load.tempco_per_K * (1 + truth.tempco);
  const room_K = load.measuredAt_C === null ? 0 : twin.heat.ambient_C - load.measuredAt_C;
  return {
    cold_ohm: load.measured_ohm * (1 + truth.load) * (1 + tempco_per_K * room_K),
    tempco_per_K,
    heating_K_per_W: load.heating_K_per_W * (1 + truth.heating),
    inductance_H: load.inductance_H,
  };
}

function loadOf({ channel, loads }: ChannelChain, nominal_ohm: number): Load {
  const load = loads.find((one) => one.nominal_ohm === nominal_ohm);
  if (!load) throw new RangeError(`channel ${channel} has no load of ${nominal_ohm} ohm`);
  return load;
}

/** Magnitude against frequency of the filters that both directions of a converter have. */
function gainOf(corner_Hz: number, coupling_Hz: number, rate_Hz: number): (frequency_Hz: number) => number {
  const filters = [
    Number.isFinite(corner_Hz) ? new LowPass(corner_Hz, rate_Hz) : null,
    coupling_Hz > 0 ? new Coupling(coupling_Hz, rate_Hz) : null,
  ].filter((filter) => filter !== null);
  return (frequency_Hz) => filters.reduce((product, filter) => product * filter.gain(frequency_Hz), 1);
}
