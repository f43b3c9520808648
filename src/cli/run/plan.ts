import { channelWords } from '../../document/model/wording.js';
import { textTable } from '../../document/text/text-table.js';
import { wrapText } from '../../document/text/wrap-text.js';
import { armedTrips, tripDelayWords, tripHeading } from '../../safety/armed-trips.js';
import { beforeConnecting, onConnections } from '../../safety/checklist.js';
import { hazards } from '../../safety/hazards.js';
import { requireRatings } from '../../safety/supply-rating.js';
import {
  type EnergisedStep,
  isEnergised,
  isWired,
  type LoadWork,
  type Plan,
  type PlanStep,
  planOf,
} from '../../sequence/plan.js';
import { formatDuration, formatQuantity } from '../../units/format.js';
import { groupBy } from '../../units/group-by.js';
import { oneLine } from '../../units/visible-text.js';
import { numberWords } from '../look/bench-text.js';
import { planNamed } from '../terminal/read-input.js';
import type { Terminal } from '../terminal/terminal.js';

/** `ohmest plan`: what a sequence would do on a bench. Plays nothing. */
export async function plan(
  terminal: Terminal,
  sequence: string,
  options: { readonly bench: string; readonly claim?: string; readonly json?: boolean },
): Promise<number> {
  const { setup, plan: laidOut } = planNamed(sequence, options.bench, undefined, options.claim);
  requireRatings(laidOut, setup);
  const dangers = hazards(laidOut, setup);
  const items = {
    before: beforeConnecting(laidOut),
    after: onConnections(laidOut.steps.filter(isWired), laidOut, setup),
  };
  const trips = [...armedTrips(laidOut, setup), ...tripDelayWords(laidOut, setup)];
  if (options.json) {
    terminal.out(JSON.stringify({ ...planDocument(laidOut, setup.name, dangers, items), trips }, null, 2));
    return 0;
  }
  const width = Math.min(120, Math.max(60, terminal.width));
  const line = (text: string, indent: string) => terminal.out(wrapText(text, width, indent));
  line(`${oneLine(laidOut.name, 200)} on ${oneLine(setup.name, 200)}\n`, '');
  const head = ['step', 'action', 'load', 'driven', 'maximum'];
  terminal.out(textTable(head, laidOut.steps.map(stepRow), [], width));
  terminal.out('');
  for (const text of estimateLines(laidOut)) line(text, '  ');
  if (laidOut.estimate.loads.length > 0) terminal.out(`\n${loadTable(laidOut.estimate.loads, width)}\n`);
  for (const warning of laidOut.warnings ?? []) line(`note: ${warning}`, '  ');
  for (const danger of dangers) line(`! ${danger.text}`, '  ');
  if (trips.length > 0) terminal.out(`\n${tripHeading(laidOut, setup)}:`);
  for (const trip of trips) line(`  - ${trip}`, '    ');
  if (items.before.length === 0) return 0;
  terminal.out('\nChecklist on a bench with real power, before anything is connected:');
  for (const { text } of items.before) line(`  - ${text}`, '    ');
  terminal.out('\nWhen the connections are made, with the unit still off:');
  for (const { text } of items.after) line(`  - ${text}`, '    ');
  return 0;
}

function planDocument(
  laidOut: Plan,
  benchName: string,
  dangers: readonly { text: string }[],
  { before, after }: Readonly<Record<'before' | 'after', readonly { text: string }[]>>,
) {
  const words = (items: readonly { text: string }[]) => items.map(({ text }) => text);
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
    checklist: words([...before, ...after]),
    before_connecting: words(before),
    on_connections: words(after),
    steps: laidOut.steps,
  };
}

function stepRow(step: PlanStep): string[] {
  if (!isWired(step)) return [step.id, planOf(step).words(step), '', '', ''];
  const ohms = formatQuantity(step.load_ohm, 'ohm');
  const load = step.mains_V === null ? ohms : `${ohms}, mains ${formatQuantity(step.mains_V, 'V')}`;
  if (!isEnergised(step)) return [step.id, planOf(step).words(step), load, '', ''];
  return [step.id, planOf(step).words(step), load, drivenWords(step), formatQuantity(step.most_W, 'W')];
}

/** Which channels carry the signal, and which of them are read when not all are. */
function drivenWords({ driven, measured }: EnergisedStep): string {
  const words = numberWords(driven);
  return measured.length === driven.length ? words : `${words} (${numberWords(measured)} read)`;
}

function estimateLines(laidOut: Plan): string[] {
  const { points, seconds, visits, worst, energy_J } = laidOut.estimate;
  return [
    `about ${points} points in ${formatDuration(seconds)}, ${visits} ${visits === 1 ? 'visit' : 'visits'} by the operator`,
    `worst case per channel: ${formatQuantity(worst.voltage_Vrms, 'V')} rms, ${formatQuantity(worst.voltage_Vpk, 'V')} peak, ` +
      `${formatQuantity(worst.current_Apk, 'A')} peak, ${formatQuantity(worst.power_W, 'W')}`,
    `all channels together: ${formatQuantity(worst.total_W, 'W')}, ${heatWords(energy_J)} in total`,
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
  const alike = groupBy(loads, (work) => cells(work).join('\n'));
  const rows = [...alike.values()].map((works) => [
    channelWords(works.map(({ channel }) => channel)),
    ...cells(works[0]!),
  ]);
  return textTable(['channel', 'load', 'maximum', 'mean', 'temperature rise', 'total heat'], rows, [], width);
}
