import type { BenchFacts } from '../sequence/bench-facts.js';
import { isEnergised, type WiredStep } from '../sequence/plan.js';

/** What the loads of one label are rated for, and what is requested of them. */
export interface AskedOfLoads {
  readonly load_ohm: number;
  /** Continuous rating of the weakest of them that a step drives. */
  readonly rating_W: number;
  /** The most that any step asks of one of them; 0 when steps only listen. */
  readonly most_W: number;
}

/** Ratings and demands by the loads' labels, in the order in which the steps come to them. */
export function askedOfLoads(steps: readonly WiredStep[], bench: BenchFacts): AskedOfLoads[] {
  return [...new Set(steps.map(({ load_ohm }) => load_ohm))].map((load_ohm) => {
    const into = steps.filter((step) => step.load_ohm === load_ohm);
    const driven = new Set(into.flatMap((step) => step.driven));
    const ratings = bench.channels
      .filter(({ channel }) => driven.has(channel))
      .flatMap(({ loads }) => loads.filter(({ nominal_ohm }) => nominal_ohm === load_ohm))
      .map(({ rating_W }) => rating_W);
    return {
      load_ohm,
      rating_W: Math.min(...ratings),
      most_W: Math.max(0, ...into.filter(isEnergised).map(({ most_W }) => most_W)),
    };
  });
}
