import { seededRandom } from '../../signal/dither.js';
import type { SimulatedBench } from './simulated-bench.js';

/** What the data sheet of a meter promises, for every function alike. */
export interface MeterSpec {
  /** Limits: percent of the reading, and so many counts of `resolution` (volts or ohms). */
  readonly percent: number;
  readonly counts: number;
  readonly resolution: number;
  /** Limits of its thermometer, kelvins; exact when left out. */
  readonly thermometer_K?: number;
}

const FUNCTIONS = ['volts', 'ohms', 'impedance', 'temperature'] as const;
type MeterFunction = (typeof FUNCTIONS)[number];

/** Where in its limits one function of one instrument lies, from -1 to 1. */
interface MeterError {
  readonly percent: number;
  readonly counts: number;
}

/**
 * A multimeter on the simulated bench. Somewhere within its limits each function of one instrument is wrong in one
 * way, evenly distributed over instruments and the same at every reading: averaging does not take it away. Rounding to
 * a count is within the limits too, as on a real one that promises at least half a count.
 */
export class SimulatedMeter {
  private readonly bench: SimulatedBench;
  private readonly spec: MeterSpec;
  private readonly places: Readonly<Record<MeterFunction, MeterError>>;

  /** @param seed any whole number; the same seed is the same instrument */
  constructor(bench: SimulatedBench, spec: MeterSpec, seed: number) {
    this.bench = bench;
    this.spec = spec;
    const random = seededRandom(seed);
    const place = () => 2 * random() - 1;
    this.places = Object.fromEntries(
      FUNCTIONS.map((name) => [name, { percent: place(), counts: place() }]),
    ) as Record<MeterFunction, MeterError>;
    bench.watchTerminals();
  }

  /** True rms of the AC at an interface output, over its last 0.4 s. @param channel from 1 */
  volts(channel: number): number {
    return this.reading('volts', this.bench.outputVolts(channel));
  }

  /** Four-wire resistance at a load's own terminals, as warm as it is. @throws LoadNotOnBench */
  ohms(channel: number, nominal_ohm: number): number {
    return this.reading('ohms', this.bench.loadState(channel, nominal_ohm).ohm);
  }

  /** Magnitude of a load's impedance, as warm as it is. @throws LoadNotOnBench */
  impedance(channel: number, nominal_ohm: number, frequency_Hz: number): number {
    const { ohm, inductance_H } = this.bench.loadState(channel, nominal_ohm);
    return this.reading('impedance', Math.hypot(ohm, 2 * Math.PI * frequency_Hz * inductance_H));
  }

  /** Degrees Celsius of a load, to a tenth unless the meter is exact. @throws LoadNotOnBench */
  temperature(channel: number, nominal_ohm: number): number {
    const { bench, spec } = this;
    const true_C = bench.loadState(channel, nominal_ohm).temperature_C;
    const shown_C = true_C + (spec.thermometer_K ?? 0) * this.places.temperature.percent;
    return spec.resolution === 0 ? shown_C : Math.round(shown_C * 10) / 10;
  }

  /**
   * Warms a load as one does before reading it hot: at a quarter of its continuous rating until it has settled.
   *
   * @throws LoadNotOnBench
   */
  warm(channel: number, nominal_ohm: number): void {
    this.bench.settleLoad(channel, nominal_ohm, 1 / 4);
  }

  private reading(name: MeterFunction, truth: number): number {
    const { percent, counts, resolution } = this.spec;
    const place = this.places[name];
    const shown =
      truth * (1 + (percent / 100) * place.percent) + Math.max(0, counts - 0.5) * resolution * place.counts;
    return resolution > 0 ? Math.round(shown / resolution) * resolution : shown;
  }
}
