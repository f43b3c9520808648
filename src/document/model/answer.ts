import { leftOutNotes } from '../chart/telling-band.js';
import { oneLine } from '../text/visible-text.js';
import type { Block } from './block.js';
import type { Ground } from './ground.js';
import { headline } from './headline.js';
import { openingSentence } from './opening-sentence.js';
import { outcomeWords } from './wording.js';

/** Longest claim in a sentence of the opening. */
const LONGEST_CLAIM = 160;

/** What a reader must know first: that the run did not reach its end, the rating and the verdict, then what was found. */
export function answerBlocks({ record, judged }: Ground): Block[] {
  const first = openingSentence(record, judged);
  const found = headline(record);
  const claim = (text: string) => oneLine(text, LONGEST_CLAIM);
  return [
    ...(record.outcome === 'completed'
      ? []
      : [{ kind: 'text', look: 'warning', text: outcomeWords(record) } as const]),
    { kind: 'text', look: 'lead', text: first },
    ...(first === found ? [] : [{ kind: 'text', text: found } as const]),
    ...judged.claims.flatMap(({ text, verdict, stored }): Block[] => [
      { kind: 'text', look: 'strong', text: verdict.reason },
      {
        kind: 'text',
        look: 'small',
        text: `Claim${stored ? '' : ', supplied after the run'}: ${claim(text)}`,
      },
    ]),
    ...(judged.unreadable === null
      ? []
      : [
          {
            kind: 'text',
            look: 'warning',
            text: `The claim of the run cannot be read: ${claim(record.claim ?? '')} (${oneLine(judged.unreadable, 300)})`,
          } as const,
        ]),
    ...leftOutNotes(record).map((text): Block => ({ kind: 'text', text })),
    ...(record.bench.kind === 'simulated'
      ? [{ kind: 'text', look: 'small', text: 'Simulated bench: no real unit was measured.' } as const]
      : []),
  ];
}
