import type { PartKind } from '../../sequence/step-plan.js';

/** Parts of a plan that may be expected to take alike many times their estimate. */
export interface PaceClass {
  readonly kind: PartKind;
  readonly nominal_Hz: number | null;
  readonly load_ohm: number;
  /** How many channels are driven. */
  readonly driven: number;
}

/** Seconds by the estimate, and those that they took. */
interface Account {
  readonly about: PaceClass;
  estimated_s: number;
  taken_s: number;
}

/** The estimate counts as much as so many seconds that were learned of just such parts. */
const PRIOR_s = 3;
/** How much less is told of a part by one of another kind, load, or number of driven channels. */
const OTHER_KIND = 0.15;
const OTHER_LOAD = 0.4;
const OTHER_DRIVEN = 0.4;
/** So many octaves away, half as much is told. */
const OCTAVES = 0.35;
/** No captures take so many times more or less than the estimate: a strange beginning must not spoil the rest. */
const MOST_FACTOR = 8;
/** More kinds of parts than this are not told apart: the oldest is let go. */
const MOST_CLASSES = 400;

export const keyOf = ({ kind, nominal_Hz, load_ohm, driven }: PaceClass): string =>
  `${kind} ${nominal_Hz} ${load_ohm} ${driven}`;

/**
 * What the parts of a plan that are over tell of those to come. A unit whose supply sags takes longer in the bass than in
 * the treble, and with all channels driven longer than with one: so what is most like a part counts most.
 */
export class LearnedPace {
  readonly #accounts = new Map<string, Account>();

  /** Takes in a part that is over. */
  learn(about: PaceClass, estimated_s: number, taken_s: number): void {
    const key = keyOf(about);
    const account = this.#accounts.get(key) ?? { about, estimated_s: 0, taken_s: 0 };
    account.estimated_s += estimated_s;
    account.taken_s += taken_s;
    this.#accounts.set(key, account);
    if (this.#accounts.size > MOST_CLASSES) this.#accounts.delete(this.#accounts.keys().next().value!);
  }

  /** Seconds that such a part may be expected to take for each of its estimate. */
  factor(about: PaceClass): number {
    let [estimated_s, taken_s] = [PRIOR_s, PRIOR_s];
    for (const account of this.#accounts.values()) {
      const weight = likeness(about, account.about);
      estimated_s += weight * account.estimated_s;
      taken_s += weight * account.taken_s;
    }
    return Math.min(MOST_FACTOR, Math.max(1 / MOST_FACTOR, taken_s / estimated_s));
  }
}

/** From 0 to 1. */
function likeness(a: PaceClass, b: PaceClass): number {
  // How many captures it takes to say why is a matter of what falls short, which no search tells.
  if (a.kind !== b.kind && (a.kind === 'causes' || b.kind === 'causes')) return 0;
  const octaves = a.nominal_Hz && b.nominal_Hz ? Math.log2(a.nominal_Hz / b.nominal_Hz) / OCTAVES : 0;
  return (
    ((a.kind === b.kind ? 1 : OTHER_KIND) *
      (a.load_ohm === b.load_ohm ? 1 : OTHER_LOAD) *
      (a.driven === b.driven ? 1 : OTHER_DRIVEN)) /
    (1 + octaves * octaves)
  );
}
