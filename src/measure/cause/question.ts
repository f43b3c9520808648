import { decibelsOfVoltage } from '../../units/decibel.js';
import type { PointEvidence } from './evidence.js';

/** What can make the power of an amplifier fall short. */
export type CauseCode =
  | 'supply-sag'
  | 'rail-clipping'
  | 'current-limit'
  | 'slew-limit'
  | 'output-filter'
  | 'crossover'
  | 'protection'
  | 'heat'
  | 'not-clear';

/** One cause, how sure that is, and why. */
export interface Cause {
  readonly cause: CauseCode;
  /** 0 to 1: how often this is right when it is said with this much confidence. */
  readonly confidence: number;
  /** Sentences with figures, as they stand beside the point in a report. */
  readonly evidence: readonly string[];
}

/** Level of the tone at one moment of a hold at constant drive. */
export interface MomentLevel {
  /** Seconds since the level was reached. */
  readonly at_s: number;
  /** Rms of the fundamental. */
  readonly fundamental_V: number;
}

/**
 * All that is known about one point where power falls short. Only `failing` is a must; each further capture
 * decides between causes.
 */
export interface CauseQuestion {
  /** Just above the maximum power (0.3 to 1 dB) where power falls short; for a hold its last record. */
  readonly failing: PointEvidence;
  /** Distortion that the maximum power was searched for; 1 % unless stated. */
  readonly threshold_percent?: number;
  /**
   * Same frequency and load, about 20 dB lower: small-signal gain, and whether distortion rises as the level
   * falls.
   */
  readonly low?: PointEvidence;
  /** Same load, at the frequency that it falls short of (1 kHz), just above its own maximum power. */
  readonly reference?: PointEvidence;
  /** As `low`, at the frequency of `reference`. */
  readonly referenceLow?: PointEvidence;
  /** Another load, just above its maximum power there, at the frequency of `failing` or of `reference`. */
  readonly otherLoad?: PointEvidence;
  /** A hold, from its first record on. */
  readonly overTime?: readonly MomentLevel[];
}

/** Gain of `a` over that of `b` in dB, both as fundamental over drive. */
export function gainOver_dB(a: PointEvidence, b: PointEvidence): number {
  return decibelsOfVoltage(a.fundamental_V / a.drive / (b.fundamental_V / b.drive));
}

/** 0 up to `from`, 1 from `to` on, straight in between; the other way round when `to` is the smaller. */
export function ramp(x: number, from: number, to: number): number {
  return Math.max(0, Math.min(1, (x - from) / (to - from)));
}

/** One cause as far as one capture suggests it. */
export interface Suspicion {
  /** 0: nothing speaks for it; 1: nothing is missing. */
  readonly weight: number;
  readonly evidence: readonly string[];
}

export const NO_SUSPICION: Suspicion = { weight: 0, evidence: [] };

/** @param evidence empty texts are left out; without a weight there is none */
export const suspicion = (weight: number, evidence: readonly string[]): Suspicion =>
  weight > 0 ? { weight, evidence: evidence.filter((text) => text !== '') } : NO_SUSPICION;
