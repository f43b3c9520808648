/** How loud a stimulus is over time. */
export type Envelope =
  | { readonly kind: 'silence' }
  | { readonly kind: 'steady' }
  | { readonly kind: 'burst'; readonly on_s: number; readonly period_s: number };

/** Raised-cosine time of every change of level, where the envelope has room for it. */
export const RAMP_s = 0.02;
/** An edge takes no more than this part of a burst, so that eight tenths of it stand at full level. */
const EDGE_SHARE = 0.1;

/**
 * A burst in frames: in each period, counted from frame 0 of the source, it rises along a raised cosine of `edge` frames
 * from silence, stands, falls alike, and is over after `on` frames.
 */
export interface Gate {
  readonly on: number;
  readonly period: number;
  readonly edge: number;
}

/** Null for what is not gated. */
export function gateOf(envelope: Envelope, rate_Hz: number): Gate | null {
  if (envelope.kind !== 'burst') return null;
  const on = Math.round(envelope.on_s * rate_Hz);
  return { on, period: Math.round(envelope.period_s * rate_Hz), edge: rampFramesOf(envelope, rate_Hz) };
}

/** The ramp of an envelope: of its own edges, and of every change of its level. Never longer than a burst allows. */
export function rampFramesOf(envelope: Envelope, rate_Hz: number): number {
  const usual = Math.ceil(RAMP_s * rate_Hz);
  if (envelope.kind !== 'burst') return usual;
  return Math.max(1, Math.min(usual, Math.floor(EDGE_SHARE * Math.round(envelope.on_s * rate_Hz))));
}

/** Where in its period a frame of the source lies. */
export function phaseIn({ period }: Pick<Gate, 'period'>, frame: number): number {
  return ((frame % period) + period) % period;
}

/** Share of the full level at a frame of the source. */
export function gateAt(gate: Gate, frame: number): number {
  const phase = phaseIn(gate, frame);
  return phase < gate.on ? raisedCosine(Math.min(phase, gate.on - phase), gate.edge) : 0;
}

/** Share of the way from one level to another, `elapsed` frames into a ramp. */
export function raisedCosine(elapsed: number, rampFrames: number): number {
  if (elapsed <= 0) return 0;
  if (elapsed >= rampFrames) return 1;
  return 0.5 - 0.5 * Math.cos((Math.PI * elapsed) / rampFrames);
}
