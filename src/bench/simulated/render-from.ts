import type { SignalSource } from '../bench.js';

/** Samples of a source from frame `start` on, which may lie before its first: silence. */
export function renderFrom(
  source: SignalSource,
  start: number,
  frames: number,
  channels: number,
): readonly Float64Array[] {
  const silent = Math.min(Math.max(-start, 0), frames);
  if (silent === 0) return source.render(start, frames);
  const rendered = silent < frames ? source.render(start + silent, frames - silent) : [];
  return Array.from({ length: channels }, (_, i) => {
    const samples = new Float64Array(frames);
    if (rendered[i]) samples.set(rendered[i], silent);
    return samples;
  });
}
