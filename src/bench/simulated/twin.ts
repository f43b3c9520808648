import type { readTwin } from './twin-file.js';

/** An amplifier to simulate, in SI units, as `readTwin` makes it of a twin file: there each part is described. */
export type Twin = Plain<ReturnType<typeof readTwin>>;

/** The same with bare numbers, which stages calculate with, in place of those that carry their unit. */
type Plain<T> = T extends number
  ? number
  : T extends ReadonlyMap<infer K, infer V>
    ? ReadonlyMap<K, Plain<V>>
    : T extends object
      ? { readonly [K in keyof T]: Plain<T[K]> }
      : T;

/** One amplifier channel. */
export type ChannelTwin = Twin['channel'];
export type OutputTwin = ChannelTwin['output'];
export type CurvatureTwin = NonNullable<ChannelTwin['curvature']>;
/** Low-pass between output stage and load, outside feedback. */
export type FilterTwin = NonNullable<OutputTwin['filter']>;
export type SupplyTwin = Twin['supply'];
export type RegulatedTwin = Extract<SupplyTwin, { kind: 'regulated' }>;
export type UnregulatedTwin = Extract<SupplyTwin, { kind: 'unregulated' }>;
export type HeatTwin = Twin['heat'];
export type ProtectionTwin = Twin['protection'];
/** The simulated interface's converters. */
export type ConverterTwin = Twin['converters'];
/**
 * How far the truth of a bench channel lies from what the bench file believes, as shares (0.01: the true value
 * is 1 % higher), and what of its frequency response the file knows nothing of.
 */
export type TruthTwin = Twin['truth'];

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
