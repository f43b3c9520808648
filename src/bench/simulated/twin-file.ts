import { parseYaml } from '../../schema/parse-yaml.js';
import { voltageRatio } from '../../units/decibel.js';
import type {
  ChannelTwin,
  ConverterTwin,
  DcFaultTwin,
  HeatTwin,
  OutputTwin,
  ProtectionTwin,
  SupplyTwin,
  TruthTwin,
  Twin,
} from './twin.js';
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
export function readTwin(text: string, path: string): Twin {
  const document = parseYaml(text, twinSchema.superRefine(checkTwin), { file: path });
  const overrides = (document.overrides ?? []).map(
    ({ channel, ...rest }) => [channel, channelFrom(overlay(document, rest))] as const,
  );
  return {
    name: document.twin,
    about: document.about ?? '',
    channels: document.channels ?? null,
    channel: channelFrom(document),
    overrides: new Map(overrides),
    supply: supplyFrom(document.supply),
    heat: heatFrom(document.heat ?? {}),
    protection: protectionFrom(document.protection ?? {}),
    dcFault: document.dc_fault ? dcFaultFrom(document.dc_fault) : null,
    converters: convertersFrom(document.interface ?? {}),
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

function channelFrom({ gain, noise, coupling, curvature, crossover, output }: ChannelDocument): ChannelTwin {
  return {
    gain: voltageRatio(gain ?? 0),
    noise_V: noise ?? 0,
    coupling_Hz: coupling ?? 0,
    curvature: curvature
      ? { second: fraction(curvature.second), third: fraction(curvature.third), at_V: curvature.at }
      : null,
    crossover: crossover ? { missing_V: crossover.missing, softness_A: crossover.softness ?? 0 } : null,
    output: outputFrom(output ?? {}),
  };
}

function outputFrom(output: NonNullable<ChannelDocument['output']>): OutputTwin {
  const drop_V = output.drop ?? 0;
  const { filter } = output;
  return {
    kind: output.kind ?? 'linear',
    drop_V,
    negativeDrop_V: output.negative_drop ?? drop_V,
    onResistance_ohm: output.on_resistance ?? 0,
    softness: fraction(output.softness),
    currentLimit_A: output.current_limit ?? NEVER,
    slew_V_per_s: (output.slew ?? NEVER) * 1e6,
    resistance_ohm: output.resistance ?? 0,
    offset_V: output.offset ?? 0,
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

function supplyFrom({ regulated, negative, unregulated }: Part<'supply'>): SupplyTwin {
  if (!unregulated) {
    return { kind: 'regulated', positive_V: regulated ?? 0, negative_V: negative ?? regulated ?? 0 };
  }
  return {
    kind: 'unregulated',
    mains_V: unregulated.mains,
    mains_Hz: unregulated.frequency,
    mainsResistance_ohm: unregulated.mains_resistance ?? 0,
    secondary_V: unregulated.secondary,
    nominalMains_V: unregulated.nominal_mains ?? unregulated.mains,
    resistance_ohm: unregulated.resistance ?? 0,
    rectifierDrop_V: unregulated.rectifier_drop ?? 0,
    halfWave: unregulated.rectifier === 'half-wave',
    reservoir_F: unregulated.reservoir,
    hum: unregulated.rejection === undefined ? 0 : voltageRatio(-unregulated.rejection),
  };
}

function heatFrom(heat: Part<'heat'>): HeatTwin {
  const shutdown_C = heat.shutdown ?? NEVER;
  return {
    ambient_C: heat.ambient ?? DEFAULT_AMBIENT_C,
    resistance_K_per_W: heat.resistance ?? 0,
    time_s: heat.time ?? 300,
    gainDrift_per_K: heat.gain_drift ?? 0,
    quiescentDrift_per_K: heat.quiescent_drift ?? 0,
    shutdown_C,
    restart_C: heat.restart ?? shutdown_C - DEFAULT_HYSTERESIS_K,
  };
}

function protectionFrom(protection: Part<'protection'>): ProtectionTwin {
  return {
    current_A: protection.current ?? NEVER,
    currentTime_s: protection.current_time ?? 1,
    dc_V: protection.dc ?? NEVER,
    dcTime_s: protection.dc_time ?? 0.5,
    recloses_s: protection.recloses_after ?? NEVER,
  };
}

function dcFaultFrom({ channel, voltage, after, above }: Part<'dc_fault'>): DcFaultTwin {
  return { channel, voltage_V: voltage, after_s: after ?? NEVER, above_C: above ?? NEVER };
}

function convertersFrom(converters: Part<'interface'>): ConverterTwin {
  return {
    outputNoise_V: converters.output_noise ?? 0,
    inputNoise_V: converters.input_noise ?? 0,
    second: fraction(converters.second),
    third: fraction(converters.third),
    bits: converters.bits ?? null,
    latency_frames: converters.latency ?? 0,
    coupling_Hz: converters.coupling ?? 0,
  };
}

function truthFrom(truth: TruthDocument): TruthTwin {
  return {
    outputLevel: fraction(truth.output_level),
    inputLevel: fraction(truth.input_level),
    attenuator: fraction(truth.attenuator),
    current: fraction(truth.current),
    load: fraction(truth.load),
    tempco: fraction(truth.tempco),
    heating: fraction(truth.heating),
    outputCorner_Hz: truth.output_corner ?? NEVER,
    inputCorner_Hz: truth.input_corner ?? NEVER,
  };
}

/** A channel says only what differs from all. */
function truthOverridesFrom({ channels = [], ...all }: Part<'truth'>): Map<number, TruthTwin> {
  return new Map(channels.map(({ channel, ...own }) => [channel, truthFrom({ ...all, ...own })]));
}
