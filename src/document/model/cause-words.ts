import type { Cause, CauseCode } from '../../measure/cause/question.js';
import type { Finding } from '../../record/finding.js';

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
export const causesInShort = (causes: readonly Cause[]): string =>
  causes.map(({ cause, confidence }) => `${CAUSE_NAMES[cause]} ${confidence.toFixed(2)}`).join(', ');

/** The causes that a finding names; none for a finding of anything else. */
export const causesOf = ({ value }: Pick<Finding, 'value'>): readonly Cause[] =>
  Array.isArray(value) ? value.filter((one): one is Cause => 'cause' in one) : [];

/** The evidence of every cause that is named, sentence by sentence. */
export const causeEvidence = (causes: readonly Cause[]): string[] => [
  ...new Set(causes.flatMap(({ evidence }) => evidence)),
];

/** What a reader must know of every confidence. */
export const CONFIDENCE_WORDS =
  'The figure behind each cause is its confidence, 0 to 1. It was found on simulated units: docs/causes.md says how, and how often it is right.';
