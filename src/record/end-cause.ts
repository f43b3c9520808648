import type { Outcome } from './outcome.js';

/** What a run is said to have ended with when its program died before closing it. */
export const DIED = 'the program ended without closing the run';

/** What ends a run, and the outcome that it makes of it. The one place where that is decided. */
export const END_CAUSES = {
  'last-step': 'completed',
  /** A question on the way was answered with no. */
  'not-confirmed': 'stopped',
  'wrong-connection': 'stopped',
  /** No rest can make a level safe for its load. */
  'load-limit': 'stopped',
  /** A resumed run finds another unit, load or cable than before. */
  'not-as-before': 'stopped',
  /** The sequence allows no more DC or noise of a silent unit. */
  'sequence-limit': 'stopped',
  'safety-limit': 'tripped',
  /** A level gave nothing all at once: the unit has shut down, or a lead is off. */
  'output-lost': 'tripped',
  sensor: 'tripped',
  /** A current shunt shows the ohms of another load. */
  'another-load': 'tripped',
  'bench-fault': 'fault',
  /** The program itself, or whatever it records into. */
  'program-fault': 'fault',
  'asked-to-end': 'interrupted',
  /** What comes next needs a person at the bench, and nobody is there. */
  'needs-person': 'interrupted',
} as const satisfies Readonly<Record<string, Outcome>>;

export type EndCause = keyof typeof END_CAUSES;

/** What ended a run; null for one that goes on, whose program died, or that an earlier version made, which kept no more than words. */
export function endCauseOf({ outcome, events }: Ended): EndCause | null {
  const cause = events.findLast(({ kind }) => kind === 'ended')?.cause;
  return cause !== undefined && END_CAUSES[cause] === outcome ? cause : null;
}

/** Of a run record what tells its end. */
interface Ended {
  readonly outcome: string;
  readonly events: readonly { readonly kind: string; readonly cause?: EndCause | undefined }[];
}
