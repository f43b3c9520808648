import { settingWords } from '../../document/model/wording.js';
import type { Progress } from '../../runner/course/run-request.js';
import { formatDuration, formatQuantity } from '../../units/format.js';
import { frequencyWords } from '../../units/nominal-frequency.js';
import type { RunView } from '../run-view.js';
import { apart, clip, cut } from './fit.js';
import { faint, plain, strong, type TerminalLine } from './line.js';

/** Rows that `headLines` takes. */
export const HEAD_ROWS = 5;

/** Which run it is, how far it has come, and what plays now. */
export function headLines(view: RunView, width: number): TerminalLine[] {
  const bench = `${view.bench}${view.simulated ? ' (simulated)' : ''}`;
  return [
    strong(apart(`Run ${view.run}: ${view.unit}`, bench, width)),
    plain(apart(placeWords(view), timeWords(view.now), width)),
    faint(doneRule(view.now?.done ?? 0, width)),
    plain(cut(stepWords(view), width)),
    plain(clip(playWords(view), width)),
  ];
}

/** Everything on one line, for a terminal that has room for no more. */
export function onlyLine(view: RunView, width: number): TerminalLine {
  const { now, latest } = view;
  const powers = latest.map(({ power_W }) => power_W);
  const residues = latest.map(({ thdn_percent }) => thdn_percent);
  const parts = [
    ...(now === null ? [] : [`${percentDone(now)} %, ${formatDuration(now.left_s)} left`]),
    ...(powers.length === 0 ? [] : [formatQuantity(Math.min(...powers), 'W')]),
    ...(residues.length === 0 ? [] : [formatQuantity(Math.max(...residues), '%')]),
    now === null ? 'begins' : cut(now.step, 40),
  ];
  return plain(clip(parts.join('  '), width));
}

const percentDone = ({ done }: Progress): number => Math.floor(100 * done);

function placeWords({ sequence, steps, points }: RunView): string {
  const at = steps.findIndex(({ stage }) => stage === 'now');
  const step = at < 0 ? `${steps.length} steps` : `step ${at + 1} of ${steps.length}`;
  return `${step}, ${points === 1 ? '1 point' : `${points} points`}, ${sequence}`;
}

const timeWords = (now: Progress | null): string =>
  now === null ? 'begins' : `${percentDone(now)} % done, ${formatDuration(now.left_s)} left`;

/** A rule across the picture, as far in double strokes as the plan is done. */
function doneRule(done: number, width: number): string {
  const filled = Math.round(Math.min(1, Math.max(0, done)) * width);
  return '='.repeat(filled) + '-'.repeat(width - filled);
}

function stepWords({ steps }: RunView): string {
  const step = steps.find(({ stage }) => stage === 'now');
  return step ? `${step.id}: ${step.words}` : '';
}

function playWords({ now, curve, steps }: RunView): string {
  const step = steps.find(({ stage }) => stage === 'now');
  if (now === null || now.step !== step?.id) return '';
  const setting = curve?.step === now.step ? [settingWords(curve.load_ohm, curve.driven)] : [];
  const sensors = (now.sensors ?? []).map(
    ({ name, unit, value }) =>
      `${cut(name, 20)} ${value === null ? 'no value' : `${formatQuantity(value, '1')} ${cut(unit, 8)}`}`,
  );
  return [
    `${frequencyWords(now.frequency_Hz)} at ${now.level_dB.toFixed(1)} dB of full scale`,
    ...setting,
    ...sensors,
  ].join(', ');
}
