import type { Reading } from '../../record/run-record.js';
import type { PlanStep } from '../../sequence/plan.js';
import type { EnergisedBase } from '../../sequence/step-base.js';
import type { CoherentTone } from '../../signal/coherent-tone.js';
import type { StoredPoint } from '../course/earlier-sessions.js';

/** What a sweep has read at one frequency, one entry a measured channel. */
export interface SweptTone {
  readonly tone: CoherentTone;
  readonly readings: readonly Reading[];
}

/** What a sweep has read, by frequency. */
export interface SweptBand {
  readonly tones: readonly SweptTone[];
  /** Its points, where an earlier session took them: whether the unit still gives the same is to be checked first. */
  readonly stored: readonly StoredPoint[];
}

type SweptSetting = Pick<EnergisedBase, 'load_ohm' | 'driven' | 'measured' | 'mains_V'>;

/** The sweeps of a run, for the search that goes on from one of them. */
export class SweptBands {
  readonly #swept: { readonly place: SweptSetting; readonly band: SweptBand }[] = [];

  remember(place: SweptSetting, tones: readonly SweptTone[], stored: readonly StoredPoint[] = []): void {
    this.#swept.push({ place, band: { tones, stored } });
  }

  /** Takes up what the sweeps among some steps have read in an earlier session. */
  takeUp(steps: readonly PlanStep[], points: readonly StoredPoint[]): void {
    for (const step of steps) {
      if (step.kind !== 'sweep') continue;
      const stored = points.filter(({ point }) => point.step === step.id);
      const tones = step.tones.flatMap((tone): SweptTone[] => {
        const read = stored.find(({ point }) => point.nominal_Hz === tone.nominal_Hz);
        return read ? [{ tone, readings: read.readings }] : [];
      });
      if (tones.length > 0) this.remember(step, tones, stored);
    }
  }

  /** The latest sweep into the same load with the same channels driven and read; null: there is none. */
  latestAt(place: SweptSetting): SweptBand | null {
    const key = (one: SweptSetting) =>
      [one.load_ohm, one.mains_V, ...one.driven, 'read', ...one.measured].join();
    return this.#swept.findLast((one) => key(one.place) === key(place))?.band ?? null;
  }
}
