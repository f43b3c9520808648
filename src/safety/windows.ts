import { type Gate, gateOf, phaseIn } from '../signal/envelope.js';
import type { Stimulus } from '../signal/stimulus.js';

/** Shortest window: a load or a protection relay is judged over at least this time. */
const WINDOW_s = 0.05;

/** Stretches over which a channel is judged. */
export interface JudgedStretch {
  readonly frames: number;
  /** What it would be in a stimulus without gaps: what must last, lasts twice as long. */
  readonly whole: number;
}

/** Part of a block: the level stands, moves along an edge of a burst, or there is a gap between bursts. */
export interface Part {
  readonly kind: 'on' | 'edge' | 'off';
  /** Places in the block. */
  readonly from: number;
  readonly to: number;
}

/**
 * The windows of what plays. While it stands: the shortest stretch of 50 ms or more that holds whole cycles, to half a
 * sample; of several lines, whole cycles of the slowest of them and of their slowest beat, so that the power of a
 * window does not sway (the others are there with so many cycles that a part of one is of no account). Within a burst: as
 * many whole cycles as there are between its edges. In a gap: 50 ms, or as long as it is.
 */
export function windowsOf(playing: Stimulus | null, rate_Hz: number): Record<'on' | 'off', JudgedStretch> {
  const least = WINDOW_s * rate_Hz;
  const silent = Math.ceil(least);
  const period = playing ? slowestPeriod(playing) : null;
  const whole = period === null ? silent : Math.round(Math.ceil(least / period - 1e-6) * period);
  const gate = playing && gateOf(playing.envelope, rate_Hz);
  if (!gate) return { on: { frames: whole, whole }, off: { frames: silent, whole: silent } };
  const room = gate.on - 2 * gate.edge;
  const fitting = period === null || room < period ? room : Math.round(Math.floor(room / period) * period);
  return {
    on: { frames: Math.min(whole, fitting, room), whole },
    off: { frames: Math.min(silent, gate.period - gate.on), whole: silent },
  };
}

/** Frames of the slowest line or beat of two lines, no longer than the record; null without a line. */
function slowestPeriod({ lines, frames }: Stimulus): number | null {
  const cycles = lines.map(({ tone }) => tone.cycles);
  const beats = cycles.flatMap((one, i) => cycles.slice(i + 1).map((other) => Math.abs(one - other)));
  return cycles.length === 0 ? null : frames / Math.min(...cycles, ...beats);
}

/** The parts of a block of so many frames from source frame `start` on. */
export function partsOf(playing: Stimulus | null, rate_Hz: number, start: number, frames: number): Part[] {
  const gate = playing && gateOf(playing.envelope, rate_Hz);
  if (!gate) return [{ kind: playing?.lines.length ? 'on' : 'off', from: 0, to: frames }];
  const parts: Part[] = [];
  for (let from = 0; from < frames; ) {
    const { kind, left } = partAt(gate, phaseIn(gate, start + from));
    const to = Math.min(frames, from + left);
    parts.push({ kind, from, to });
    from = to;
  }
  return parts;
}

function partAt({ on, period, edge }: Gate, phase: number): { kind: Part['kind']; left: number } {
  if (phase < edge) return { kind: 'edge', left: edge - phase };
  if (phase < on - edge) return { kind: 'on', left: on - edge - phase };
  return phase < on ? { kind: 'edge', left: on - phase } : { kind: 'off', left: period - phase };
}
