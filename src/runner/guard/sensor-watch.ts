import type { Sensor, SensorSetup } from '../../bench/sensor.js';
import type { SensorSample } from '../../record/run-record.js';
import { SILENT_TIMES } from '../../safety/armed-trips.js';
import { formatDuration, formatQuantity, unitSign } from '../../units/format.js';

/** What the watch goes by. */
export interface SensorClock {
  /** Seconds by which sensors become due: the bench's own where time is virtual, the world's elsewhere. */
  now_s(): number;
  /** Seconds of the run, for the record. */
  at_s(): number;
  /** Virtual time does not wait for a program: one that is still running then has missed nothing. */
  readonly virtual: boolean;
}

/** What has come up since the last time somebody looked. */
export interface SensorNews {
  readonly samples: readonly SensorSample[];
  readonly notes: readonly string[];
}

interface State {
  readonly sensor: Sensor;
  due_s: number;
  reading: boolean;
  /** Samples running that gave nothing, and why the last did not. */
  missing: number;
  reason: string;
  noted: boolean;
  latest: number | null;
}

/**
 * Samples sensors in the background. Nothing here waits: `poll` starts what is due, answers come in by themselves and
 * are kept until `take`. A limit that is passed, or a needed sensor that is silent for three samples, raises `trip`.
 */
export class SensorWatch {
  readonly #states: readonly State[];
  readonly #over = new AbortController();
  #samples: SensorSample[] = [];
  #notes: string[] = [];
  #trip: string | null = null;

  /** @param onTrip called once, when `trip` is raised */
  constructor(
    sensors: readonly Sensor[],
    private readonly clock: SensorClock,
    private readonly onTrip: () => void,
  ) {
    this.#states = sensors.map((sensor) => ({
      sensor,
      due_s: Number.NEGATIVE_INFINITY,
      reading: false,
      missing: 0,
      reason: '',
      noted: false,
      latest: null,
    }));
  }

  /** Why the run must end; null while it need not. */
  get trip(): string | null {
    return this.#trip;
  }

  /** Seconds until the next sample is due, 0 or less when one is; infinite without sensors. */
  get wait_s(): number {
    return Math.min(...this.#states.map(({ due_s }) => due_s)) - this.clock.now_s();
  }

  /** The last value of each sensor, null where the last sample gave none. */
  latest(): { readonly name: string; readonly unit: string; readonly value: number | null }[] {
    return this.#states.map(({ sensor: { setup }, latest }) => ({
      name: setup.name,
      unit: setup.unit,
      value: latest,
    }));
  }

  /** Starts the samples that are due. */
  poll(): void {
    if (this.#over.signal.aborted) return;
    const now_s = this.clock.now_s();
    for (const state of this.#states) {
      if (now_s < state.due_s) continue;
      if (state.reading && this.clock.virtual) continue;
      const { every_s } = state.sensor.setup;
      const next_s = state.due_s + every_s;
      state.due_s = next_s > now_s ? next_s : now_s + every_s;
      if (state.reading) this.#miss(state, 'it has not answered yet');
      else this.#sample(state);
    }
  }

  /** Samples and notes since the last call. */
  take(): SensorNews {
    const heard = { samples: this.#samples, notes: this.#notes };
    this.#samples = [];
    this.#notes = [];
    return heard;
  }

  /** Ends every sample under way. Waits for nothing; what still comes in is not heard any more. */
  stop(): void {
    this.#over.abort();
  }

  #sample(state: State): void {
    let answer: number | Promise<number>;
    try {
      answer = state.sensor.read(this.#over.signal);
    } catch (error) {
      this.#miss(state, wordsOf(error));
      return;
    }
    if (typeof answer === 'number') {
      this.#value(state, answer);
      return;
    }
    state.reading = true;
    answer
      .then(
        (value) => this.#unlessOver(() => this.#value(state, value)),
        (error) => this.#unlessOver(() => this.#miss(state, wordsOf(error))),
      )
      .finally(() => {
        state.reading = false;
      });
  }

  #unlessOver(work: () => void): void {
    if (!this.#over.signal.aborted) work();
  }

  #value(state: State, value: number): void {
    const { setup } = state.sensor;
    state.missing = 0;
    state.latest = value;
    this.#keep(setup, value);
    const { name, high, low } = setup;
    const unit = unitSign(setup.unit);
    const words = `sensor ${name}: ${printed(value)} ${unit}`;
    if (high !== null && value > high)
      this.#raise(`${words}, more than the ${printed(high)} ${unit} that the bench file allows`);
    if (low !== null && value < low)
      this.#raise(`${words}, less than the ${printed(low)} ${unit} that the bench file allows`);
  }

  #miss(state: State, reason: string): void {
    const { setup } = state.sensor;
    state.missing += 1;
    state.reason = reason;
    state.latest = null;
    this.#keep(setup, null);
    if (!state.noted) this.#notes.push(`sensor ${setup.name} gave no value: ${reason}`);
    state.noted = true;
    if (setup.needed && state.missing >= SILENT_TIMES)
      this.#raise(
        `sensor ${setup.name} has given no value ${state.missing} times in a row, one every ${formatDuration(setup.every_s)} (limit ${SILENT_TIMES}): ${reason}`,
      );
  }

  #keep({ name, unit }: SensorSetup, value: number | null): void {
    this.#samples.push({ at_s: this.clock.at_s(), probe: name, unit, value });
  }

  #raise(text: string): void {
    if (this.#trip !== null) return;
    this.#trip = text;
    this.onTrip();
  }
}

export const printed = (value: number): string => formatQuantity(value, '1', { figures: 4, trim: true });

const wordsOf = (error: unknown): string => (error instanceof Error ? error.message : String(error));
