import type { RunRecord } from '../../../record/run-record.js';
import { formatDuration } from '../../../units/format.js';
import { eventWords } from '../../model/event-words.js';
import { timeWords } from '../../model/wording.js';
import { visibleText } from '../../text/visible-text.js';
import { html, type Markup } from '../markup.js';
import { table } from './table.js';

/** Everything needed to repeat the run: sequence, bench and calibration as they were used, answers, course. */
export function papers(record: RunRecord): Markup {
  const { sequence, bench, calibration, checklist, events } = record;
  return html`${paper('Sequence', sequence)}
${paper('Bench', bench)}
${
  calibration.length === 0
    ? html`<p>No calibration record was named by the bench file; what it states itself was used.</p>`
    : calibration.map(({ id, kind, text, sha256 }) =>
        paper(`Calibration, ${kind}`, { name: id, text, sha256 }),
      )
}
${checklist.length > 0 && checklistTable(checklist)}
${events.length > 0 && eventsTable(events)}
`;
}

interface Paper {
  readonly name: string;
  readonly text: string;
  readonly sha256: string;
}

function paper(kind: string, { name, text, sha256 }: Paper): Markup {
  return html`<details class="paper"><summary>${visibleText(kind)}: <bdi>${visibleText(name)}</bdi></summary>
<p class="hash">SHA-256 <code>${visibleText(sha256)}</code></p>
<pre tabindex="0"><bdi>${visibleText(text)}</bdi></pre></details>
`;
}

function checklistTable(checklist: RunRecord['checklist']): Markup {
  return html`<details class="paper"><summary>Checklist (${checklist.length})</summary>
${table(
  'What was asked before the unit was driven',
  [{ name: 'Item' }, { name: 'Answer' }, { name: 'By' }, { name: 'At' }],
  checklist.map(({ item, answer, by, at }) => [
    visibleText(item),
    visibleText(answer),
    html`<bdi>${visibleText(by)}</bdi>`,
    timeWords(visibleText(at)),
  ]),
)}</details>
`;
}

function eventsTable(events: RunRecord['events']): Markup {
  return html`<details class="readings"><summary>Course of the run (${events.length} events)</summary>
${table(
  'Events, by the clock of the bench',
  [{ name: 'After', figures: true }, { name: 'Event' }, { name: 'What' }],
  events.flatMap((event) => {
    const words = eventWords(event);
    return words ? [[formatDuration(words.at_s), visibleText(words.kind), visibleText(words.text)]] : [];
  }),
)}</details>
`;
}
