import { raisedCosine } from '../../signal/envelope.js';
import type { SignalSource } from '../bench.js';

/** One stretch of a source that is played in one go, with what is played around it. All in frames. */
export interface Take {
  /** Source frame at which the stretch begins. */
  readonly start: number;
  readonly frames: number;
  /** Played before it, so that the device has settled when it begins. */
  readonly preroll: number;
  /** Played after it, so that it does not end at full level. */
  readonly postroll: number;
  /** Length of the raised cosine at either end. */
  readonly fade: number;
}

const PREROLL_S = 0.1;
const POSTROLL_S = 0.03;
const FADE_S = 0.02;

const SHORTEST = 2 ** 12;
const LONGEST = 2 ** 21;
const USUAL = 2 ** 17;

/**
 * Sizes the take that begins at source frame `start`: the horizon of the source from where it may still
 * change its mind, which is after the frames it was asked for to end the take before.
 */
export function planTake(source: SignalSource, start: number, rate_Hz: number): Take {
  const horizon = source.horizonFrames;
  const known = Number.isFinite(horizon) && horizon > 0;
  const wanted = known ? Math.min(Math.max(Math.ceil(horizon), SHORTEST), LONGEST) : USUAL;
  const postroll = Math.ceil(POSTROLL_S * rate_Hz);
  return {
    start,
    frames: wanted + postroll,
    preroll: Math.ceil(PREROLL_S * rate_Hz),
    postroll,
    fade: Math.ceil(FADE_S * rate_Hz),
  };
}

export function stimulusFrames({ preroll, frames, postroll }: Take): number {
  return preroll + frames + postroll;
}

/**
 * The samples to play for a take: the source from `preroll` frames before the stretch to `postroll` frames
 * after it, faded in and out. There is silence where the source has not begun, and no fade then: how a
 * source begins is its own affair.
 *
 * @returns one array of `stimulusFrames(take)` samples per channel
 */
export function renderTake(source: SignalSource, take: Take): Float64Array[] {
  const total = stimulusFrames(take);
  const silence = Math.max(0, take.preroll - take.start);
  const rendered = source.render(take.start - take.preroll + silence, total - silence);
  return rendered.map((samples) => {
    const out = new Float64Array(total);
    out.set(samples, silence);
    for (let i = 0; i < take.fade; i += 1) {
      const share = raisedCosine(i, take.fade);
      if (silence === 0) out[i]! *= share;
      out[total - 1 - i]! *= share;
    }
    return out;
  });
}
