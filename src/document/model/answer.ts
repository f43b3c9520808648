import type { Conclusion, Role } from '../../judgement/conclude/conclusion.js';
import type { Block, TextLook } from './block.js';
import type { Ground } from './ground.js';
import { leftOutNotes } from './left-out-notes.js';

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
    ...judged.conclusions.map((one) => textOf(one, one === lead ? 'lead' : LOOKS[one.role])),
    ...leftOutNotes(record).map((text): Block => ({ kind: 'text', look: 'small', text })),
  ];
}

/** What a terminal shows last, where a reader looks first: the answer again, and what to do next. */
export const closingBlocks = ({ judged }: Ground): Block[] =>
  judged.conclusions
    .filter(({ role }) => role === 'warning' || role === 'answer' || role === 'next')
    .map((one) => textOf(one, LOOKS[one.role]));

const textOf = ({ sentence }: Conclusion, look: TextLook): Block => ({ kind: 'text', look, text: sentence });
