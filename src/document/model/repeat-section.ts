import type { RunRecord } from '../../record/run-record.js';
import { formatDuration } from '../../units/format.js';
import type { Block, Section } from './block.js';
import { courseOf } from './condition-section.js';
import { eventWords } from './event-words.js';
import { timeWords } from './wording.js';

const NO_IDENTITY = 'none: an older version recorded the run, so a damaged figure cannot be noticed';

/** How to repeat a run, in short. */
export function repeatSection(record: RunRecord): Section {
  const { sequence, bench, started, version } = record;
  return {
    id: 'repeat',
    title: 'To repeat it',
    blocks: [
      {
        kind: 'table',
        look: 'pairs',
        title: 'To repeat it',
        columns: [{ name: 'What' }, { name: 'Value' }],
        rows: [
          ['Sequence', `${sequence.name} (SHA-256 ${sequence.sha256.slice(0, 12)})`],
          ['Bench', `${bench.name} (SHA-256 ${bench.sha256.slice(0, 12)})`],
          ['Started', `${timeWords(started)}, ohmest ${version}`],
          ...courseOf(record),
          ...(record.identity === null ? [['Identity', NO_IDENTITY]] : []),
        ],
      },
    ],
  };
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

const paper = (kind: string, { name, text, sha256 }: Paper): Block => ({
  kind: 'details',
  title: `${kind}: ${name}`,
  blocks: [
    { kind: 'text', look: 'small', text: `SHA-256 ${sha256}` },
    { kind: 'verbatim', text },
  ],
});

const checklistBlock = (checklist: RunRecord['checklist']): Block => ({
  kind: 'details',
  title: `Checklist (${checklist.length})`,
  blocks: [
    {
      kind: 'table',
      title: 'Questions answered before the unit was driven',
      columns: [{ name: 'Item' }, { name: 'Answer' }, { name: 'By' }, { name: 'At' }],
      rows: checklist.map(({ item, answer, by, at }) => [
        item,
        answer,
        { text: by, given: true },
        timeWords(at),
      ]),
    },
  ],
});

const eventsBlock = (events: RunRecord['events']): Block => ({
  kind: 'details',
  screen: true,
  title: `Course of the run (${events.length} events)`,
  blocks: [
    {
      kind: 'table',
      title: 'Events, by the clock of the bench',
      columns: [{ name: 'After', figures: true }, { name: 'Event' }, { name: 'What' }],
      rows: events.flatMap((event) => {
        const words = eventWords(event);
        if (words === null) return [];
        return [
          [formatDuration(words.at_s), { text: words.kind, given: true }, { text: words.text, given: true }],
        ];
      }),
    },
  ],
});
