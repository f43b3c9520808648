/** An amplifier to simulate, in SI units. Made from a twin file by `readTwin`, which fills in every default. */
export interface Twin {
  readonly name: string;
  readonly about: string;
  /** Amplifier channels; null when the twin serves any number. */
  readonly channels: number | null;
  /** What every channel is like unless `overrides` says otherwise, by channel number from 1. */
  readonly channel: ChannelTwin;
  readonly overrides: ReadonlyMap<number, ChannelTwin>;
  readonly supply: SupplyTwin;
  readonly heat: HeatTwin;
  readonly protection: ProtectionTwin;
  readonly dcFault: DcFaultTwin | null;
  readonly converters: ConverterTwin;
  /** How far every channel of the bench is off, unless `truthOverrides` says otherwise, by channel number from 1. */
  readonly truth: TruthTwin;
  readonly truthOverrides: ReadonlyMap<number, TruthTwin>;
}

/** One amplifier channel. */
export interface ChannelTwin {
  /** Load volts per input volt with no load, as a plain ratio. */
  readonly gain: number;
  /** Rms at the input in a band of 20 kHz. */
  readonly noise_V: number;
  /** Corner of the input coupling; 0 passes DC. */
  readonly coupling_Hz: number;
  readonly curvature: CurvatureTwin | null;
  readonly crossover: CrossoverTwin | null;
  readonly output: OutputTwin;
}

/** Share of second and third harmonic of a sine of `at_V` rms at the output. */
export interface CurvatureTwin {
  readonly second: number;
  readonly third: number;
  readonly at_V: number;
}

/** Volts missing when the current changes hands, and the current over which it does so. */
export interface CrossoverTwin {
  readonly missing_V: number;
  readonly softness_A: number;
}

export interface OutputTwin {
  readonly kind: 'linear' | 'switching';
  /** Volts short of the positive and of the negative rail at which the output stops. */
  readonly drop_V: number;
  readonly negativeDrop_V: number;
  /** Resistance between rail and output when fully on; makes the drop grow with current. */
  readonly onResistance_ohm: number;
  /** Half-width of the knee as a share of the limit. */
  readonly softness: number;
  readonly currentLimit_A: number;
  readonly slew_V_per_s: number;
  /** In series with the load, outside feedback. */
  readonly resistance_ohm: number;
  readonly offset_V: number;
  /** Idle current from rail to rail. */
  readonly quiescent_A: number;
  readonly filter: FilterTwin | null;
}

/** Low-pass between output stage and load, outside feedback. */
export interface FilterTwin {
  readonly inductance_H: number;
  readonly capacitance_F: number;
  readonly resistance_ohm: number;
}

export type SupplyTwin = RegulatedTwin | UnregulatedTwin;

export interface RegulatedTwin {
  readonly kind: 'regulated';
  readonly positive_V: number;
  readonly negative_V: number;
}

/** Mains transformer with a centre tap, rectifier and one reservoir a rail, shared by all channels. */
export interface UnregulatedTwin {
  readonly kind: 'unregulated';
  readonly mains_V: number;
  readonly mains_Hz: number;
  readonly mainsResistance_ohm: number;
  /** Rms volts of each half of the secondary at `nominalMains_V` without load. */
  readonly secondary_V: number;
  readonly nominalMains_V: number;
  /** Winding, wiring and rectifier, in each rail. */
  readonly resistance_ohm: number;
  readonly rectifierDrop_V: number;
  readonly halfWave: boolean;
  readonly reservoir_F: number;
  /** Share of the rail's ripple that reaches the output at all times. */
  readonly hum: number;
}

export interface HeatTwin {
  readonly ambient_C: number;
  /** Heatsink to air. */
  readonly resistance_K_per_W: number;
  readonly time_s: number;
  readonly gainDrift_per_K: number;
  readonly quiescentDrift_per_K: number;
  readonly shutdown_C: number;
  readonly restart_C: number;
}

export interface ProtectionTwin {
  readonly current_A: number;
  readonly currentTime_s: number;
  readonly dc_V: number;
  readonly dcTime_s: number;
  /** Infinity: stays open. */
  readonly recloses_s: number;
}

/** DC that appears at one output. */
export interface DcFaultTwin {
  readonly channel: number;
  readonly voltage_V: number;
  readonly after_s: number;
  readonly above_C: number;
}

/** The simulated interface's converters. */
export interface ConverterTwin {
  /** Rms volts in 20 kHz that the output adds, and that the input adds. */
  readonly outputNoise_V: number;
  readonly inputNoise_V: number;
  /** Share of harmonics that each converter adds to a full-scale sine. */
  readonly second: number;
  readonly third: number;
  /** Null: no rounding. */
  readonly bits: number | null;
  readonly latency_frames: number;
  readonly coupling_Hz: number;
}

/**
 * How far the truth of a bench channel lies from what the bench file believes, as shares (0.01: the true value
 * is 1 % higher), and what of its frequency response the file knows nothing of.
 */
export interface TruthTwin {
  /** Volts at digital full scale of the output. */
  readonly outputLevel: number;
  /** What the input reads. */
  readonly inputLevel: number;
  readonly attenuator: number;
  /** What the current tap reads. */
  readonly current: number;
  /** Cold resistance of every load, its temperature coefficient, and its heating per watt. */
  readonly load: number;
  readonly tempco: number;
  readonly heating: number;
  /** Corners of a first-order low-pass in the output and in every input; Infinity: none. */
  readonly outputCorner_Hz: number;
  readonly inputCorner_Hz: number;
}

/** What channel `number` (from 1) is like. */
export function channelTwin(twin: Twin, number: number): ChannelTwin {
  return twin.overrides.get(number) ?? twin.channel;
}

/** How far bench channel `number` (from 1) is off. */
export function channelTruth(twin: Twin, number: number): TruthTwin {
  return twin.truthOverrides.get(number) ?? twin.truth;
}

/**
 * The same twin on a bench that is off in another way. What is left out stays as it was.
 *
 * @param all for every channel, also for those that had a truth of their own
 * @param own for single channels, by channel number from 1, on top of `all`
 */
export function withTruth(
  twin: Twin,
  all: Partial<TruthTwin>,
  own: ReadonlyMap<number, Partial<TruthTwin>> = new Map(),
): Twin {
  const channels = new Set([...twin.truthOverrides.keys(), ...own.keys()]);
  const overrides = [...channels].map(
    (channel) => [channel, { ...channelTruth(twin, channel), ...all, ...own.get(channel) }] as const,
  );
  return { ...twin, truth: { ...twin.truth, ...all }, truthOverrides: new Map(overrides) };
}
