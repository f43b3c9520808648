import { parseYaml } from '../../schema/parse-yaml.js';
import { voltageRatio } from '../../units/decibel.js';
import { checkTwin } from './twin-checks.js';
import { type ChannelDocument, type TruthDocument, type TwinDocument, twinSchema } from './twin-schema.js';

const NEVER = Number.POSITIVE_INFINITY;
const DEFAULT_AMBIENT_C = 25;
/** A unit that has shut down starts again this much cooler. */
const DEFAULT_HYSTERESIS_K = 15;

/**
 * Reads a twin file (benches/twins/README.md describes it). Everything but `twin`, `gain` and `supply` may
 * be left out, and does no harm then: a twin of those three is an ideal amplifier that clips at its rails.
 *
 * @param path for messages
 * @throws DocumentError listing every fault with line and column
 */
export function readTwin(text: string, path: string) {
  const document = parseYaml(text, twinSchema.superRefine(checkTwin), { file: path });
  const overrides = (document.overrides ?? []).map(
    ({ channel, ...rest }) => [channel, channelFrom(overlay(document, rest))] as const,
  );
  return {
    name: document.twin,
    about: document.about ?? '',
    /** Amplifier channels; null when the twin serves any number. */
    channels: document.channels ?? null,
    /** What every channel is like unless `overrides` says otherwise, by channel number from 1. */
    channel: channelFrom(document),
    overrides: new Map(overrides),
    supply: supplyFrom(document.supply),
    heat: heatFrom(document.heat ?? {}),
    protection: protectionFrom(document.protection ?? {}),
    dcFault: document.dc_fault ? dcFaultFrom(document.dc_fault) : null,
    converters: convertersFrom(document.interface ?? {}),
    /** How far every channel of the bench is off, unless `truthOverrides` says otherwise, by channel number from 1. */
    truth: truthFrom(document.truth ?? {}),
    truthOverrides: truthOverridesFrom(document.truth ?? {}),
  };
}

type Part<K extends keyof TwinDocument> = NonNullable<TwinDocument[K]>;

/** An override says only what differs; inside `output` too. */
function overlay(base: TwinDocument, override: ChannelDocument): ChannelDocument {
  return { ...base, ...override, output: { ...base.output, ...override.output } };
}

const fraction = (percent = 0) => percent / 100;

function channelFrom({ gain, noise, coupling, curvature, crossover, output }: ChannelDocument) {
  return {
    /** Load volts per input volt with no load, as a plain ratio. */
    gain: voltageRatio(gain ?? 0),
    /** Rms at the input in a band of 20 kHz. */
    noise_V: noise ?? 0,
    /** Corner of the input coupling; 0 passes DC. */
    coupling_Hz: coupling ?? 0,
    /** Share of second and third harmonic of a sine of `at_V` rms at the output. */
    curvature: curvature
      ? { second: fraction(curvature.second), third: fraction(curvature.third), at_V: curvature.at }
      : null,
    /** Volts missing when the current changes hands, and the current over which it does so. */
    crossover: crossover ? { missing_V: crossover.missing, softness_A: crossover.softness ?? 0 } : null,
    output: outputFrom(output ?? {}),
  };
}

function outputFrom(output: NonNullable<ChannelDocument['output']>) {
  const drop_V = output.drop ?? 0;
  const { filter } = output;
  return {
    kind: output.kind ?? 'linear',
    /** Volts short of the positive and of the negative rail at which the output stops. */
    drop_V,
    negativeDrop_V: output.negative_drop ?? drop_V,
    /** Resistance between rail and output when fully on; makes the drop grow with current. */
    onResistance_ohm: output.on_resistance ?? 0,
    /** Half-width of the knee as a share of the limit. */
    softness: fraction(output.softness),
    currentLimit_A: output.current_limit ?? NEVER,
    slew_V_per_s: (output.slew ?? NEVER) * 1e6,
    /** In series with the load, outside feedback. */
    resistance_ohm: output.resistance ?? 0,
    offset_V: output.offset ?? 0,
    /** Idle current from rail to rail. */
    quiescent_A: output.quiescent ?? 0,
    filter: filter
      ? {
          inductance_H: filter.inductance,
          capacitance_F: filter.capacitance,
          resistance_ohm: filter.resistance ?? 0,
        }
      : null,
  };
}

const supplyFrom = ({ regulated, negative, unregulated }: Part<'supply'>) =>
  unregulated ? unregulatedFrom(unregulated) : railsOf(regulated ?? 0, negative ?? regulated ?? 0);

const railsOf = (positive_V: number, negative_V: number) => ({
  kind: 'regulated' as const,
  positive_V,
  negative_V,
});

/** Mains transformer with a centre tap, rectifier and one reservoir a rail, shared by all channels. */
function unregulatedFrom(unregulated: NonNullable<Part<'supply'>['unregulated']>) {
  return {
    kind: 'unregulated' as const,
    mains_V: unregulated.mains,
    mains_Hz: unregulated.frequency,
    mainsResistance_ohm: unregulated.mains_resistance ?? 0,
    /** Rms volts of each half of the secondary at `nominalMains_V` without load. */
    secondary_V: unregulated.secondary,
    nominalMains_V: unregulated.nominal_mains ?? unregulated.mains,
    /** Winding, wiring and rectifier, in each rail. */
    resistance_ohm: unregulated.resistance ?? 0,
    rectifierDrop_V: unregulated.rectifier_drop ?? 0,
    halfWave: unregulated.rectifier === 'half-wave',
    reservoir_F: unregulated.reservoir,
    /** Share of the rail's ripple that reaches the output at all times. */
    hum: unregulated.rejection === undefined ? 0 : voltageRatio(-unregulated.rejection),
  };
}

function heatFrom(heat: Part<'heat'>) {
  const shutdown_C = heat.shutdown ?? NEVER;
  return {
    ambient_C: heat.ambient ?? DEFAULT_AMBIENT_C,
    /** Heatsink to air. */
    resistance_K_per_W: heat.resistance ?? 0,
    time_s: heat.time ?? 300,
    gainDrift_per_K: heat.gain_drift ?? 0,
    quiescentDrift_per_K: heat.quiescent_drift ?? 0,
    shutdown_C,
    restart_C: heat.restart ?? shutdown_C - DEFAULT_HYSTERESIS_K,
  };
}

function protectionFrom(protection: Part<'protection'>) {
  return {
    current_A: protection.current ?? NEVER,
    currentTime_s: protection.current_time ?? 1,
    dc_V: protection.dc ?? NEVER,
    dcTime_s: protection.dc_time ?? 0.5,
    /** Infinity: stays open. */
    recloses_s: protection.recloses_after ?? NEVER,
  };
}

/** DC that appears at one output. */
function dcFaultFrom({ channel, voltage, after, above }: Part<'dc_fault'>) {
  return { channel, voltage_V: voltage, after_s: after ?? NEVER, above_C: above ?? NEVER };
}

function convertersFrom(converters: Part<'interface'>) {
  return {
    /** Rms volts in 20 kHz that the output adds, and that the input adds. */
    outputNoise_V: converters.output_noise ?? 0,
    inputNoise_V: converters.input_noise ?? 0,
    /** Share of harmonics that each converter adds to a full-scale sine. */
    second: fraction(converters.second),
    third: fraction(converters.third),
    /** Null: no rounding. */
    bits: converters.bits ?? null,
    latency_frames: converters.latency ?? 0,
    coupling_Hz: converters.coupling ?? 0,
  };
}

function truthFrom(truth: TruthDocument) {
  return {
    /** Volts at digital full scale of the output. */
    outputLevel: fraction(truth.output_level),
    /** What the input reads. */
    inputLevel: fraction(truth.input_level),
    attenuator: fraction(truth.attenuator),
    /** What the current tap reads. */
    current: fraction(truth.current),
    /** Cold resistance of every load, its temperature coefficient, and its heating per watt. */
    load: fraction(truth.load),
    tempco: fraction(truth.tempco),
    heating: fraction(truth.heating),
    /** Corners of a first-order low-pass in the output and in every input; Infinity: none. */
    outputCorner_Hz: truth.output_corner ?? NEVER,
    inputCorner_Hz: truth.input_corner ?? NEVER,
  };
}

/** A channel says only what differs from all. */
function truthOverridesFrom({ channels = [], ...all }: Part<'truth'>) {
  return new Map(channels.map(({ channel, ...own }) => [channel, truthFrom({ ...all, ...own })]));
}
