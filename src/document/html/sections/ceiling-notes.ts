import type { CauseResult } from '../../../record/old-results.js';
import type { RunRecord } from '../../../record/run-record.js';
import { formatQuantity } from '../../../units/format.js';
import { capital } from '../../model/capital.js';
import { CAUSE_NAMES, CONFIDENCE, causeEvidence } from '../../model/cause-words.js';
import { type CeilingGroup, causesOf, hasPower } from '../../model/ceiling-groups.js';
import { visibleText } from '../../text/visible-text.js';
import { html, type Markup } from '../markup.js';
import { typeset } from '../typeset.js';

/** A cause of fall with the number that stands at its point in the chart. */
export interface CeilingNote {
  readonly number: number;
  readonly x: number;
  readonly y: number;
  /** `20 Hz, channel 2: supply sag (0.87)`. */
  readonly words: string;
  readonly evidence: string;
}

/** The causes found for the points of a group, numbered by rising frequency. */
export function ceilingNotes(record: RunRecord, group: CeilingGroup): CeilingNote[] {
  const placed = group.nominals_Hz.flatMap((nominal_Hz) =>
    causesOf(record, group, nominal_Hz).flatMap((cause) => {
      const at = group.channels
        .get(cause.channel)
        ?.filter(hasPower)
        .find((result) => result.nominal_Hz === nominal_Hz);
      return at ? [{ cause, x: at.frequency_Hz, y: at.power_W }] : [];
    }),
  );
  return placed.map(({ cause, x, y }, i) => ({
    number: i + 1,
    x,
    y,
    words: noteWords(cause),
    evidence: causeEvidence(cause).join('; '),
  }));
}

function noteWords({ nominal_Hz, channel, causes }: CauseResult): string {
  const named = causes.map(({ cause, confidence }) => `${CAUSE_NAMES[cause]} (${confidence.toFixed(2)})`);
  return `${formatQuantity(nominal_Hz, 'Hz', { figures: 3, trim: true })}, channel ${channel}: ${named.join(', then ')}`;
}

/** The notes as a list below their chart. */
export function notesBelow(notes: readonly CeilingNote[]): Markup | null {
  if (notes.length === 0) return null;
  return html`<ol class="notes">${notes.map(
    ({ words, evidence }) =>
      html`<li><b>${typeset(words)}.</b> ${typeset(visibleText(capital(evidence)))}${evidence !== '' && '.'}</li>\n`,
  )}</ol><p class="small">${CONFIDENCE}</p>`;
}
