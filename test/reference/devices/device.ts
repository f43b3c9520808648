/*
 * Units whose maximum power is known by root finding on their own formulas, for whoever searches for it or judges it. Each is
 * pure: a drive goes in, counted as the power that the small-signal gain would make of it, and power and THD+N come out.
 */
import { powerRatio } from '../../../src/units/decibel.js';

export interface Device {
  readonly name: string;
  /** What it gives at a drive, in dB above 1 W by its small-signal gain at 1 kHz. */
  at(asked_dBW: number, frequency_Hz?: number): DeviceReading;
}

export interface DeviceReading {
  readonly power_W: number;
  readonly thdn_percent: number;
}

/** A sine of `times` the clipping level, clipped hard: mean square and peak of the fundamental, clipping level = 1. */
export function clippedSine(times: number): { readonly meanSquare: number; readonly fundamental: number } {
  if (times <= 1) return { meanSquare: times ** 2 / 2, fundamental: times };
  // Fourier series of the clipped sine: it is at the level from the angle asin(1/times) on.
  const angle = Math.asin(1 / times);
  const flank = (times ** 2 / 2) * (angle - Math.sin(2 * angle) / 2);
  return {
    meanSquare: (2 / Math.PI) * (flank + Math.PI / 2 - angle),
    fundamental: (2 / Math.PI) * (times * angle + Math.cos(angle)),
  };
}

/** A clipper of a unit with noise: watts at which it begins to clip, noise as a share of that, all harmonics in band. */
export function clipper(clip_W: number, noise_percent = 0.002) {
  return (asked_W: number): DeviceReading => {
    const { meanSquare, fundamental } = clippedSine(Math.sqrt(asked_W / clip_W));
    const noise = (noise_percent / 100) ** 2 / 2;
    const total = meanSquare + noise;
    return {
      power_W: 2 * clip_W * total,
      thdn_percent: 100 * Math.sqrt(Math.max(0, total - fundamental ** 2 / 2) / total),
    };
  };
}

/** With more residue of its own, as a share of the output. */
export function withResidue({ power_W, thdn_percent }: DeviceReading, more_percent: number): DeviceReading {
  return { power_W, thdn_percent: Math.min(100, Math.hypot(thdn_percent, more_percent)) };
}

/** Where searches look. */
export interface Range {
  readonly from_dBW: number;
  readonly most_dBW: number;
}

/**
 * The highest power that keeps a limit: the last crossing on the way up to where THD+N passes `stop_percent`, by a scan in
 * steps of 0.01 dB and halving. Null where the limit is never kept, or kept to the end.
 */
export function trueMaxPower(
  device: Device,
  threshold_percent: number,
  { from_dBW, most_dBW }: Range,
  { frequency_Hz = 1000, stop_percent = 1 } = {},
): number | null {
  const at = (level_dBW: number) => device.at(level_dBW, frequency_Hz);
  const over = (level_dBW: number) => at(level_dBW).thdn_percent >= threshold_percent;
  let crossing: number | null = null;
  let clean = false;
  for (let level = from_dBW; level < most_dBW; level += 0.01) {
    if (!over(level) && over(level + 0.01)) crossing = level;
    clean ||= !over(level);
    if (clean && at(level).thdn_percent > stop_percent) break;
  }
  if (crossing === null) return null;
  let [low, high] = [crossing, crossing + 0.01];
  for (let i = 0; i < 60; i += 1) {
    const middle = (low + high) / 2;
    if (over(middle)) high = middle;
    else low = middle;
  }
  return at(low).power_W;
}

export const asked_W = (asked_dBW: number): number => powerRatio(asked_dBW);
