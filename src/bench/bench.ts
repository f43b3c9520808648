import type { FlagCode } from '../measure/flags.js';
import type { BenchKindName } from './bench-setup.js';

/** Samples as they came in: one array per bench channel, digital full scale = 1.0 peak. */
export interface SoundBlock {
  /** Frame of the source that the first sample of this block answers to (latency already taken out). */
  readonly start: number;
  readonly channels: readonly Float64Array[];
  /** What the current shunts gave, one entry a bench channel, null where it has none. Absent: no channel has one. */
  readonly currents?: readonly (Float64Array | null)[];
}

/**
 * What a bench plays: any stretch of it can be asked for, and asking twice for the same frames
 * that have been played before gives the same samples.
 */
export interface SignalSource {
  /** Samples `start` to `start + frames - 1`, one array per bench channel; idle channels are zero. */
  render(start: number, frames: number): readonly Float64Array[];
  /**
   * How many more frames the player expects to want without a change. A bench that works take by
   * take sizes its take by this; a streaming bench ignores it.
   */
  readonly horizonFrames: number;
}

/**
 * What hangs between the interface's outputs and inputs: the unit and its loads; a cable from each output to its own
 * input, past the attenuator or through it; or nothing at the outputs but a meter.
 */
export type Wiring = 'unit' | 'loop' | 'loop-through-attenuator' | 'open';

/** What the operator has set up for the points that follow. */
export interface BenchSetting {
  /** Nominal load on every driven channel. */
  readonly load_ohm: number;
  /** Bench channels that carry the signal, from 1. */
  readonly driven: readonly number[];
  /** Left out: the unit. A bench that cannot change its own wiring relies on the operator having done so. */
  readonly wiring?: Wiring;
}

/**
 * Everything between the computer and the unit. A bench streams and owns the clock.
 *
 * Life: `open` once, then any number of `configure`, `play` and `idle` in turn, then `close`.
 * All waiting goes through the bench, so that a simulated hour costs seconds.
 */
export interface Bench {
  readonly kind: BenchKindName;
  /** True when the bench can put real power on real terminals, so that the operator must be asked first. */
  readonly energises: boolean;
  readonly rate_Hz: number;
  /** Number of bench channels. */
  readonly channels: number;
  /** Flags that every reading taken from the running play must carry. Absent means none. */
  readonly flags?: readonly FlagCode[];
  /** What the bench has to say of itself, one sentence each without a full stop; each is handed out once. */
  takeNotes?(): readonly string[];

  /** Takes hold of the interface. Plays nothing. Throws a BenchFault when it cannot. */
  open(): Promise<void>;
  /** Says what is connected now. Real benches were changed by hand before this call. */
  configure(setting: BenchSetting): Promise<void>;
  /**
   * Plays `source` from its frame 0 and yields captured blocks in order, without end, the first of
   * them starting at frame 0. Consecutive blocks follow on without a gap in `start`; a bench that
   * loses samples throws SamplesLost rather than closing the hole, and can play again; after any other
   * BenchFault it is of no more use. Ending the iteration ramps the output to silence within 250 ms. Only
   * one play at a time.
   */
  play(source: SignalSource): AsyncGenerator<SoundBlock, void, void>;
  /** Lets `seconds` pass in silence on the bench's clock; ends early (without error) when `signal` aborts. */
  idle(seconds: number, signal?: AbortSignal): Promise<void>;
  /** The bench's clock in seconds. */
  now_s(): number;
  /** Silence, then lets go of everything. Safe to call twice, and after a fault. */
  close(): Promise<void>;
}
