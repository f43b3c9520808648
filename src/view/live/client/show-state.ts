import { outcomeWords } from '../../../document/model/wording.js';
import { formatDuration, formatQuantity } from '../../../units/format.js';
import { frequencyWords } from '../../../units/nominal-frequency.js';
import { oneLine } from '../../../units/visible-text.js';
import type { RunView } from '../../run-view.js';
import type { LiveState, NextCommands } from '../live-state.js';
import { byId, element, setText, shownText } from './dom.js';

/** Longest label in a heading. */
const LONGEST_TITLE = 90;

/** Shows where the run stands: its state, its question, how far it is, what to type when it is over. */
export function showState({ view, next, stopping }: LiveState): void {
  const stop = byId<HTMLButtonElement>('stop');
  byId('walk').hidden = view !== null && view.state !== 'running';
  stop.disabled = stopping;
  setText(stop, stopping ? 'Ramping down' : 'Stop the run');
  if (view === null) {
    setText(
      byId('state'),
      'The run has not begun: the checklist is being gone through in the terminal that it was started in.',
    );
    return;
  }
  const unit = oneLine(view.unit, LONGEST_TITLE);
  setText(byId('unit'), unit);
  setText(
    byId('run'),
    `Run ${view.run}${view.simulated ? ', simulated bench: no real unit is measured' : ''}`,
  );
  setText(byId('state'), stateWords(view, stopping));
  byId('question').hidden = view.question === null;
  setText(byId('asked'), shownText(view.question ?? ''));
  const percent = Math.floor(100 * (view.now?.done ?? 0));
  document.title = titleOf(view, percent, unit);
  showWalk(view, percent);
  byId('ended').hidden = view.state === 'running';
  if (view.state !== 'running') showNext(next, view.state === 'completed');
}

/** What a tab shows: who has the page behind others must see there that the run waits for them. */
function titleOf({ state, question }: RunView, percent: number, unit: string): string {
  if (state !== 'running') return `${state}: ${unit}`;
  return question === null ? `${percent} % · ${unit}` : `Question · ${unit}`;
}

function stateWords(view: RunView, stopping: boolean): string {
  if (view.state !== 'running') return `${outcomeWords({ outcome: view.state, reason: view.reason })}.`;
  if (stopping) return 'The run was asked to stop: the output is being ramped down.';
  const at = view.steps.findIndex(({ stage }) => stage === 'now');
  const where = at < 0 ? 'Beginning' : `Step ${at + 1} of ${view.steps.length}`;
  return `${where} of ${view.sequence}, on ${view.bench}.`;
}

function showWalk(view: RunView, percent: number): void {
  byId<HTMLProgressElement>('done').value = view.now?.done ?? 0;
  setText(
    byId('percent'),
    `${percent} % of the plan, ${view.points} ${view.points === 1 ? 'point' : 'points'}`,
  );
  const left = view.now ? `about ${formatDuration(view.now.left_s)} left` : '';
  setText(byId('left'), view.simulated && left !== '' ? `${left} on a real bench` : left);
  showGlance(view);
}

/** The few figures that are read from across the room. */
function showGlance({ now, state }: RunView): void {
  const place = byId('keys');
  place.hidden = now === null || state !== 'running';
  if (now === null || place.hidden) return;
  const powers = now.power_W.filter((power_W) => power_W !== null);
  const residues = now.thdn_percent.filter((residue) => residue !== null);
  const several = powers.length > 1;
  const figures: [string, string, string][] = [
    [
      'Power',
      powers.length > 0 ? formatQuantity(Math.min(...powers), 'W') : '–',
      several ? `latest, lowest of ${powers.length} channels` : 'latest',
    ],
    [
      'THD+N',
      residues.length > 0 ? formatQuantity(Math.max(...residues), '%') : '–',
      several ? `latest, highest of ${residues.length} channels` : 'latest',
    ],
    ['Frequency', frequencyWords(now.frequency_Hz), ''],
    ['Generator level', `${formatQuantity(now.level_dB, 'dB')}`, 'full scale is 0 dB'],
    ...(now.sensors ?? []).map(({ name, unit, value }): [string, string, string] => [
      name,
      value === null ? '–' : `${formatQuantity(value, '1')} ${unit}`,
      'sensor',
    ]),
  ];
  place.replaceChildren(
    ...figures.map(([name, value, about]) =>
      element(
        'div',
        '',
        element('dt', '', name),
        element('dd', '', value, ...(about ? [element('small', '', about)] : [])),
      ),
    ),
  );
}

/** What to type to see more, and to go on when there is something left. */
export function showNext(next: NextCommands | null, complete: boolean): void {
  if (next === null) return;
  const lines = [
    [next.show, 'what was found'],
    [next.report, 'the same as a page to keep'],
    ...(complete ? [] : [[next.resume, 'resumes the run']]),
  ];
  byId('typed').replaceChildren(
    ...lines.map(([command, about]) =>
      element('li', '', element('code', '', command!), ' ', element('span', '', about!)),
    ),
  );
}
