import type { CalibrationRecord, ChannelChain } from '../calibration/chain.js';
import type { Floor } from '../calibration/floor.js';
import type { SensorSetup } from './sensor.js';
import type { UnitSupply } from './unit-supply.js';

export interface SimulatedInterface {
  readonly kind: 'simulated';
  /** Path of the twin file, already resolved. */
  readonly twinPath: string;
  /** Of the twin file; absent when it cannot be read, which is said when the bench is opened. */
  readonly twinSha256?: string;
  readonly seed: number;
}

export interface AudioInterface {
  readonly kind: 'audio';
  readonly playDevice: string;
  readonly captureDevice: string;
  readonly bits: 24 | 32;
  /** Whole number of interface channels to open; channel maps sit in the channel chains. */
  readonly playChannels: number;
  readonly captureChannels: number;
}

export interface CommandInterface {
  readonly kind: 'command';
  /**
   * Program and arguments, run without a shell: with the placeholders {stimulus} and {response} of files, or, where it streams,
   * {rate}, {outputs}, {inputs} and {frames}.
   */
  readonly argv: readonly string[];
  readonly timeout_s: number;
  /** How long a block is that goes through the program's standard input and output; null: it takes whole records in files. */
  readonly block_s: number | null;
}

/** What stands between the computer and the unit, of whichever kind. */
export type BenchInterface = SimulatedInterface | AudioInterface | CommandInterface;

export type BenchKindName = BenchInterface['kind'];

/** Virtual time passes as samples are made, and a rest of an hour costs nothing; the world's must be waited for. */
export type BenchClock = 'virtual' | 'world';

/** A bench file, read and checked. */
export interface BenchSetup {
  readonly name: string;
  readonly kind: BenchKindName;
  readonly interface: BenchInterface;
  /** Whether it can put real power on real terminals. */
  readonly energises: boolean;
  /** Whether its file says that nothing real is behind it: everything is asked, and answers may come through a pipe. */
  readonly practice?: boolean;
  /** What the supply of the unit can put on its outputs; null or absent where it is not stated. */
  readonly unitSupply?: UnitSupply | null;
  readonly clock: BenchClock;
  readonly rate_Hz: number;
  readonly channels: readonly ChannelChain[];
  /** Most voltage gain the tool assumes of a unit before it has measured it. */
  readonly assumedGain_dB: number;
  /** Most DC at a load before the run trips. */
  readonly dcLimit_V: number;
  /** What is sampled beside the signal while a run goes on; absent means nothing. */
  readonly sensors?: readonly SensorSetup[];
  /** Most energy that a run may put into all loads together, and most time it may take; null or absent: by the plan. */
  readonly energyLimit_J?: number | null;
  readonly timeLimit_s?: number | null;
  /** Captures with lost samples that a run survives; absent: `DROPOUT_LIMIT`. */
  readonly dropoutLimit?: number;
  /** What the bench reads with its own output looped to its own input; null when not stated. */
  readonly floor: Floor | null;
  /** The calibration record that the floor was taken from; null or absent where there is none. */
  readonly floorRecord?: CalibrationRecord | null;
  /** Limits within which the interface's clock is right, parts per million; null when not stated. */
  readonly clockLimits_ppm: number | null;
  /** The day on which the file was read, year-month-day: what calibrations are due against. */
  readonly day: string;
  readonly path: string;
  readonly text: string;
  readonly sha256: string;
}
