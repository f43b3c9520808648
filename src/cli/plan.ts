import { textTable } from '../report/text-table.js';
import { oneLine } from '../report/visible-text.js';
import { channelWords } from '../report/wording.js';
import { wrapText } from '../report/wrap-text.js';
import { armedTrips } from '../safety/armed-trips.js';
import { checklist } from '../safety/checklist.js';
import { hazards } from '../safety/hazards.js';
import {
  type EnergisedStep,
  isEnergised,
  type Level,
  type LoadWork,
  type Plan,
  type PlanStep,
} from '../sequence/plan.js';
import { formatDuration, formatQuantity } from '../units/format.js';
import { numberWords } from './bench-text.js';
import { planNamed } from './read-input.js';
import type { Terminal } from './terminal.js';

/** `ohmest plan`: what a sequence would do on a bench. Plays nothing. */
export async function plan(
  terminal: Terminal,
  sequence: string,
  options: { readonly bench: string; readonly claim?: string; readonly json?: boolean },
): Promise<number> {
  const { setup, plan: laidOut } = planNamed(sequence, options.bench, undefined, options.claim);
  const dangers = hazards(laidOut, setup);
  const items = checklist(laidOut, setup);
  const trips = armedTrips(laidOut, setup);
  if (options.json) {
    terminal.out(JSON.stringify({ ...planDocument(laidOut, setup.name, dangers, items), trips }, null, 2));
    return 0;
  }
  const width = Math.min(120, Math.max(60, terminal.width));
  const line = (text: string, indent: string) => terminal.out(wrapText(text, width, indent));
  line(`${oneLine(laidOut.name, 200)} on ${oneLine(setup.name, 200)}\n`, '');
  const head = ['step', 'does', 'load', 'driven', 'at most'];
  terminal.out(textTable(head, laidOut.steps.map(stepRow), [], width));
  terminal.out('');
  for (const text of estimateLines(laidOut)) line(text, '  ');
  if (laidOut.estimate.loads.length > 0) terminal.out(`\n${loadTable(laidOut.estimate.loads, width)}\n`);
  for (const warning of laidOut.warnings ?? []) line(`note: ${warning}`, '  ');
  for (const danger of dangers) line(`! ${danger.text}`, '  ');
  if (trips.length > 0) terminal.out('\nEnds a run at once:');
  for (const trip of trips) line(`  - ${trip}`, '    ');
  if (items.length > 0) terminal.out('\nBefore it is energised:');
  for (const item of items) line(`  - ${item.text}`, '    ');
  return 0;
}

function planDocument(
  laidOut: Plan,
  benchName: string,
  dangers: readonly { text: string }[],
  items: readonly { text: string }[],
) {
  const { points, seconds, visits, worst, loads, energy_J } = laidOut.estimate;
  return {
    sequence: laidOut.name,
    sequence_sha256: laidOut.sequence.sha256,
    bench: benchName,
    claim_W: laidOut.claim_W ?? null,
    points,
    duration_s: seconds,
    operator_visits: visits,
    worst_case: worst,
    loads,
    energy_J,
    warnings: laidOut.warnings ?? [],
    hazards: dangers,
    checklist: items.map((item) => item.text),
    steps: laidOut.steps,
  };
}

function stepRow(step: PlanStep): string[] {
  if (step.kind === 'ask') return [step.id, `ask: ${step.text}`, '', '', ''];
  if (step.kind === 'rest') return [step.id, `rest ${formatDuration(step.seconds)}`, '', '', ''];
  const ohms = formatQuantity(step.load_ohm, 'ohm');
  const load = step.mains_V === null ? ohms : `${ohms}, mains ${formatQuantity(step.mains_V, 'V')}`;
  if (!isEnergised(step)) return [step.id, `listen for ${formatDuration(step.seconds)}`, load, '', ''];
  return [step.id, doing(step), load, drivenWords(step), formatQuantity(step.most_W, 'W')];
}

/** `1/8` where it was written so. */
function shareWords(share: number): string {
  const parts = Math.round(1 / share);
  return Math.abs(parts * share - 1) < 1e-9 ? `1/${parts}` : String(share);
}

/** Which channels carry the signal, and which of them are read when not all are. */
function drivenWords({ driven, measured }: EnergisedStep): string {
  const words = numberWords(driven);
  return measured.length === driven.length ? words : `${words} (${numberWords(measured)} read)`;
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
  const share = level.share === 1 ? '' : `${shareWords(level.share)} of `;
  return `${share}the ${formatQuantity(level.percent, '%')} power of ${level.climb}`;
}

function estimateLines(laidOut: Plan): string[] {
  const { points, seconds, visits, worst, energy_J } = laidOut.estimate;
  return [
    `about ${points} points in ${formatDuration(seconds)}, ${visits} ${visits === 1 ? 'visit' : 'visits'} by the operator`,
    `worst case per channel: ${formatQuantity(worst.voltage_Vrms, 'V')} rms, ${formatQuantity(worst.voltage_Vpk, 'V')} peak, ` +
      `${formatQuantity(worst.current_Apk, 'A')} peak, ${formatQuantity(worst.power_W, 'W')}`,
    `all channels together: ${formatQuantity(worst.total_W, 'W')}, ${heatWords(energy_J)} over the whole of it`,
  ];
}

const heatWords = (heat_J: number) =>
  heat_J < 3600e3
    ? `${formatQuantity(heat_J / 3600, '1', { figures: 2 })} Wh`
    : `${formatQuantity(heat_J / 3600e3, '1', { figures: 3 })} kWh`;

/** How hot each load gets at most; those that go through the same are put together. */
function loadTable(loads: readonly LoadWork[], width: number): string {
  const cells = (work: LoadWork) => [
    formatQuantity(work.load_ohm, 'ohm'),
    formatQuantity(work.most_W, 'W'),
    formatQuantity(work.mean_W, 'W'),
    work.rise_K === null ? 'not stated' : formatQuantity(work.rise_K, 'K', { figures: 2 }),
    heatWords(work.heat_J),
  ];
  const channels = new Map<string, number[]>();
  for (const work of loads)
    channels.set(cells(work).join('\n'), [...(channels.get(cells(work).join('\n')) ?? []), work.channel]);
  const rows = [...channels].map(([key, of]) => [channelWords(of), ...key.split('\n')]);
  return textTable(['into', 'load', 'at most', 'mean', 'warmer by', 'in all'], rows, [], width);
}
