import { textTable } from '../report/text-table.js';
import { checklist } from '../safety/checklist.js';
import { hazards } from '../safety/hazards.js';
import { type EnergisedStep, isEnergised, type Level, type Plan, type PlanStep } from '../sequence/plan.js';
import { formatDuration, formatQuantity } from '../units/format.js';
import { planNamed } from './read-input.js';
import type { Terminal } from './terminal.js';

/** `ohmest plan`: what a sequence would do on a bench. Plays nothing. */
export async function plan(
  terminal: Terminal,
  sequence: string,
  options: { readonly bench: string; readonly json?: boolean },
): Promise<number> {
  const { setup, plan: laidOut } = planNamed(sequence, options.bench);
  const dangers = hazards(laidOut, setup);
  const items = checklist(laidOut, setup);
  if (options.json) {
    terminal.out(JSON.stringify(planDocument(laidOut, setup.name, dangers, items), null, 2));
    return 0;
  }
  terminal.out(`${laidOut.name} on ${setup.name}\n`);
  terminal.out(textTable(['step', 'does', 'load', 'driven', 'at most'], laidOut.steps.map(stepRow)));
  terminal.out(`\n${estimateText(laidOut)}`);
  for (const warning of laidOut.warnings ?? []) terminal.out(`note: ${warning}`);
  for (const danger of dangers) terminal.out(`! ${danger.text}`);
  if (items.length > 0)
    terminal.out(`\nBefore it is energised:\n${items.map((item) => `  - ${item.text}`).join('\n')}`);
  return 0;
}

function planDocument(
  laidOut: Plan,
  benchName: string,
  dangers: readonly { text: string }[],
  items: readonly { text: string }[],
) {
  const { points, seconds, visits, worst } = laidOut.estimate;
  return {
    sequence: laidOut.name,
    sequence_sha256: laidOut.sequence.sha256,
    bench: benchName,
    points,
    duration_s: seconds,
    operator_visits: visits,
    worst_case: worst,
    warnings: laidOut.warnings ?? [],
    hazards: dangers,
    checklist: items.map((item) => item.text),
    steps: laidOut.steps,
  };
}

function stepRow(step: PlanStep): string[] {
  if (step.kind === 'ask') return [step.id, `ask: ${step.text}`, '', '', ''];
  if (step.kind === 'rest') return [step.id, `rest ${formatDuration(step.seconds)}`, '', '', ''];
  const load = formatQuantity(step.load_ohm, 'ohm');
  if (!isEnergised(step)) return [step.id, `listen for ${formatDuration(step.seconds)}`, load, '', ''];
  return [step.id, doing(step), load, drivenWords(step), formatQuantity(step.most_W, 'W')];
}

/** Which channels carry the signal, and which of them are read when not all are. */
function drivenWords({ driven, measured }: EnergisedStep): string {
  const words = driven.join(', ');
  return measured.length === driven.length ? words : `${words} (${measured.join(', ')} read)`;
}

function doing(step: EnergisedStep): string {
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
  return step.kind === 'ceiling'
    ? `ceiling of ${formatQuantity(step.threshold_percent, '%')} at ${band}`
    : `sweep ${band}, at ${levelWords(step.level)}`;
}

function levelWords(level: Level): string {
  if (level.kind === 'power') return formatQuantity(level.power_W, 'W');
  if (level.kind === 'voltage') return formatQuantity(level.voltage_V, 'V');
  const share = level.share === 1 ? '' : `${level.share} of `;
  return `${share}the ${formatQuantity(level.percent, '%')} power of ${level.climb}`;
}

function estimateText(laidOut: Plan): string {
  const { points, seconds, visits, worst } = laidOut.estimate;
  return [
    `about ${points} points in ${formatDuration(seconds)}, ${visits} ${visits === 1 ? 'visit' : 'visits'} by the operator`,
    `worst case per channel: ${formatQuantity(worst.voltage_Vrms, 'V')} rms, ${formatQuantity(worst.voltage_Vpk, 'V')} peak, ` +
      `${formatQuantity(worst.current_Apk, 'A')} peak, ${formatQuantity(worst.power_W, 'W')}`,
    `all channels together: ${formatQuantity(worst.total_W, 'W')}; heat into the hottest load: ${(worst.heat_J / 1000).toPrecision(3)} kJ`,
  ].join('\n');
}
