import { analyse } from '../../src/measure/analyse.js';
import type { ChannelAnalysis } from '../../src/measure/analysis.js';
import type { CaptureSpec } from './capture-spec.js';
import { type Damage, damaged, LONGEST_GAP } from './damage.js';
import { renderTimeLine } from './render-capture.js';

/** Invents a capture, damages it if there is a damage, and measures it as a run does: by the tone that was played. */
export function look(spec: CaptureSpec, damage: Damage | null): ChannelAnalysis {
  const { tone, level_dBFS } = spec;
  const line = renderTimeLine(spec, tone.frames + LONGEST_GAP);
  const samples = damage
    ? damaged(line, tone.frames, damage, 10 ** (level_dBFS / 20))
    : line.subarray(0, tone.frames);
  const [reading] = analyse([samples], { rate_Hz: tone.rate_Hz, tone });
  return reading!;
}
