/**
 * What a question to the person at the bench is about. Whoever answers decides by this, never by the words.
 *
 * - `checklist`: people, place and equipment, before anything is connected
 * - `set-up`: the first connection of a session, and what is checked on it
 * - `change`: a connection that is changed on the way, and what is checked on it
 * - `correction`: a wrong connection that was found by playing
 * - `sequence`: a question that the sequence asks
 * - `resumption`: whether all is as it was before an interruption
 * - `cause`: whether the cause of a trip was found
 * - `unattended`: what a run needs with nobody present
 * - `programs`: whether the programs of a bench file may be started
 * - `calibration`: what a calibration needs done by hand
 */
export type About =
  | 'checklist'
  | 'set-up'
  | 'change'
  | 'correction'
  | 'sequence'
  | 'resumption'
  | 'cause'
  | 'unattended'
  | 'programs'
  | 'calibration';

/** Something that a person confirms with yes. */
export interface Question {
  readonly about: About;
  readonly text: string;
  /** What was confirmed before and is asked about once more. */
  readonly confirmed?: readonly string[];
}

/** Whether what earlier sessions had confirmed still holds. */
export const stillSo = (confirmed: readonly string[]): Question => ({
  about: 'resumption',
  confirmed,
  text: `Before the interruption this was confirmed: ${confirmed.map((text) => `"${text}"`).join(', ')}. Is it still so, as far as it matters from here on?`,
});

/** What must have been found before a run that its own limits or a person ended may continue. */
export const causeFound = (run: number, outcome: string, reason: string): Question => ({
  about: 'cause',
  text: `Run ${run} was ${outcome}: ${reason}. Has the cause been found and removed?`,
});

/** Whether the programs that a bench file names may be started. */
export const MAY_PROGRAMS_RUN: Question = {
  about: 'programs',
  text: 'Do you know this bench file, and may these programs run?',
};
