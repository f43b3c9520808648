import type { CauseCode } from '../../measure/cause/cause.js';
import type { CauseResult } from '../../record/old-results.js';
import { formatQuantity } from '../../units/format.js';
import { drivenWords } from './wording.js';

/** What each cause is called. */
export const CAUSE_NAMES: Readonly<Record<CauseCode, string>> = {
  'supply-sag': 'supply sag',
  'rail-clipping': 'rail clipping',
  'current-limit': 'current limit',
  'slew-limit': 'slew limit',
  'output-filter': 'output filter',
  crossover: 'crossover',
  protection: 'protection',
  heat: 'heat',
  'not-clear': 'not clear',
};

/** `supply sag 0.95` or `crossover 0.49, rail clipping 0.36`: a cause with how sure it is. */
export function causesInShort({ causes }: CauseResult): string {
  return causes.map(({ cause, confidence }) => `${CAUSE_NAMES[cause]} ${confidence.toFixed(2)}`).join(', ');
}

/** `20 Hz, 8 ohm, channel 1, channels 1 and 2 driven`. */
export function causePlace({ frequency_Hz, nominal_Hz, load_ohm, channel, driven }: CauseResult): string {
  const at = formatQuantity(nominal_Hz || frequency_Hz, 'Hz', { figures: 3, trim: true });
  const who = driven.length > 1 ? `, ${drivenWords(driven)}` : '';
  return `${at}, ${formatQuantity(load_ohm, 'ohm')}, channel ${channel}${who}`;
}

/** The evidence of every cause that is named, sentence by sentence. */
export function causeEvidence({ causes }: CauseResult): string[] {
  return [...new Set(causes.flatMap(({ evidence }) => evidence))];
}

/** What a reader must know of every confidence. */
export const CONFIDENCE =
  'The figure behind each cause is its confidence, 0 to 1. It was found on simulated units: docs/causes.md says how, and how often it is right.';
