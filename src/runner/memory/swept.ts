import type { Reading } from '../../record/run-record.js';
import type { EnergisedBase } from '../../sequence/step-base.js';
import type { CoherentTone } from '../../signal/coherent-tone.js';

/** What a sweep has read at one frequency, one entry a measured channel. */
export interface SweptTone {
  readonly tone: CoherentTone;
  readonly readings: readonly Reading[];
}

type Place = Pick<EnergisedBase, 'load_ohm' | 'driven' | 'measured' | 'mains_V'>;

/** The sweeps of this session, for the search that goes on from one of them. */
export class SweptBands {
  readonly #swept: { readonly place: Place; readonly tones: readonly SweptTone[] }[] = [];

  remember(place: Place, tones: readonly SweptTone[]): void {
    this.#swept.push({ place, tones });
  }

  /** The latest sweep into the same load with the same channels driven and read; null: there is none. */
  latestAt(place: Place): readonly SweptTone[] | null {
    const key = (one: Place) => [one.load_ohm, one.mains_V, ...one.driven, 'read', ...one.measured].join();
    return this.#swept.findLast((one) => key(one.place) === key(place))?.tones ?? null;
  }
}
