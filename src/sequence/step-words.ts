import { formatDuration, formatQuantity } from '../units/format.js';
import type { Level, PlanStep } from './plan.js';

/** What a step does, in one line: `climb at 997 Hz from 50 mW, mark 0.1 % and 1 %`. */
export function stepWords(step: PlanStep): string {
  if (step.kind === 'ask') return `ask: ${step.text}`;
  if (step.kind === 'rest') return `rest ${formatDuration(step.seconds)}`;
  if (step.kind === 'quiet') return `listen for ${formatDuration(step.seconds)}`;
  if (step.kind === 'climb') {
    const marks = step.marks_percent.map((mark) => formatQuantity(mark, '%')).join(' and ');
    return `climb at ${formatQuantity(step.tone.frequency_Hz, 'Hz')} from ${formatQuantity(step.from_W, 'W')}, mark ${marks}`;
  }
  if (step.kind === 'hold' || step.kind === 'warm-up')
    return `${step.kind} ${levelWords(step.level)} at ${formatQuantity(step.tone.frequency_Hz, 'Hz')} for ${formatDuration(step.seconds)}`;
  const [low, high] = [step.tones[0]!, step.tones.at(-1)!].map((tone) =>
    formatQuantity(tone.nominal_Hz, 'Hz'),
  );
  const band = `${step.tones.length} frequencies, ${low} to ${high}`;
  return step.kind === 'max-power'
    ? `maximum power at ${formatQuantity(step.threshold_percent, '%')} THD+N, ${band}`
    : `sweep ${band}, at ${levelWords(step.level)}`;
}

function levelWords(level: Level): string {
  if (level.kind === 'power') return formatQuantity(level.power_W, 'W');
  if (level.kind === 'voltage') return formatQuantity(level.voltage_V, 'V');
  const share = level.share === 1 ? '' : `${shareWords(level.share)} of `;
  return `${share}the ${formatQuantity(level.percent, '%')} power of ${level.climb}`;
}

/** `1/8` where it was written so. */
function shareWords(share: number): string {
  const parts = Math.round(1 / share);
  return Math.abs(parts * share - 1) < 1e-9 ? `1/${parts}` : String(share);
}
