import type { Role } from '../../judgement/conclude/conclusion.js';
import type { RunRecord } from '../../record/run-record.js';
import type { Block, TextLook } from './block.js';
import type { Ground } from './ground.js';
import { text } from './make-blocks.js';

/** How a part of the opening looks; the first answer is the lead. */
const LOOKS: Readonly<Record<Role, TextLook>> = {
  warning: 'warning',
  answer: 'strong',
  beside: 'plain',
  certainty: 'small',
  next: 'strong',
};

/** What a reader must know first, in the order in which it was concluded. */
export function answerBlocks({ record, judged }: Ground): Block[] {
  const lead = judged.conclusions.find(({ role }) => role === 'answer');
  return [
    ...judged.conclusions.map((one) => text(one.sentence, one === lead ? 'lead' : LOOKS[one.role])),
    ...leftOutNotes(record).map((words) => text(words, 'small')),
  ];
}

/** What a terminal shows last, where a reader looks first: the answer again, and what to do next. */
export const closingBlocks = ({ judged }: Ground): Block[] =>
  judged.conclusions
    .filter(({ role }) => role === 'warning' || role === 'answer' || role === 'next')
    .map(({ sentence, role }) => text(sentence, LOOKS[role]));

/** What the run says of sweeps, or channels of a sweep, that were not played. */
export const leftOutNotes = ({ events }: Pick<RunRecord, 'events'>): string[] =>
  events.flatMap((event) => (event.kind === 'note' && event.topic === 'sweep' ? [event.text] : []));
