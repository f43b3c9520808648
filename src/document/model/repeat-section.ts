import type { RunRecord } from '../../record/run-record.js';
import { formatDuration } from '../../units/format.js';
import type { Block, Section, TableCell } from './block.js';
import { courseOf } from './condition-section.js';
import { eventWords } from './event-words.js';
import { details, figures, pairs, section, table, text } from './make-blocks.js';
import { timeWords } from './wording.js';

const NO_IDENTITY = 'none: an older version recorded the run, so a damaged figure cannot be noticed';

/** How to repeat a run, in short. */
export function repeatSection(record: RunRecord): Section {
  const { sequence, bench, started, version } = record;
  const rows = [
    ['Sequence', `${sequence.name} (SHA-256 ${sequence.sha256.slice(0, 12)})`],
    ['Bench', `${bench.name} (SHA-256 ${bench.sha256.slice(0, 12)})`],
    ['Started', `${timeWords(started)}, ohmest ${version}`],
    ...courseOf(record),
    ...(record.identity === null ? [['Identity', NO_IDENTITY]] : []),
  ];
  return section('repeat', 'To repeat it', [pairs('To repeat it', rows)]);
}

/** Everything needed to repeat a run, folded away: sequence, bench and calibration as they were used, answers, course. */
export function paperBlocks({ sequence, bench, calibration, checklist, events }: RunRecord): Block[] {
  return [
    paper('Sequence', sequence),
    paper('Bench', bench),
    ...calibration.map(({ id, kind, text, sha256 }) =>
      paper(`Calibration, ${kind}`, { name: id, text, sha256 }),
    ),
    ...(checklist.length > 0 ? [checklistBlock(checklist)] : []),
    ...(events.length > 0 ? [eventsBlock(events)] : []),
  ];
}

interface Paper {
  readonly name: string;
  readonly text: string;
  readonly sha256: string;
}

const paper = (kind: string, { name, text: words, sha256 }: Paper): Block =>
  details(`${kind}: ${name}`, [text(`SHA-256 ${sha256}`, 'small'), { kind: 'verbatim', text: words }]);

function checklistBlock(checklist: RunRecord['checklist']): Block {
  const rows = checklist.map(({ item, answer, by, at }) => [
    item,
    answer,
    { text: by, given: true as const },
    timeWords(at),
  ]);
  return details(`Checklist (${checklist.length})`, [
    table('Questions answered before the unit was driven', ['Item', 'Answer', 'By', 'At'], rows),
  ]);
}

function eventsBlock(events: RunRecord['events']): Block {
  const rows = events.flatMap((event): TableCell[][] => {
    const words = eventWords(event);
    return words === null
      ? []
      : [[formatDuration(words.at_s), { text: words.kind, given: true }, { text: words.text, given: true }]];
  });
  return details(
    `Course of the run (${events.length} events)`,
    [table('Events, by the clock of the bench', [...figures('After'), 'Event', 'What'], rows)],
    true,
  );
}
