import type { Bench, BenchSetting, SignalSource, SoundBlock } from '../../bench/bench.js';
import type { BenchSetup } from '../../bench/bench-setup.js';
import type { Sensor } from '../../bench/sensor.js';
import type { Load } from '../../calibration/chain.js';
import { benchFault } from '../../errors/error-table.js';
import { CaptureWatch } from '../../safety/capture-watch.js';
import { courseLimits } from '../../safety/course-limits.js';
import { CourseWatch } from '../../safety/course-watch.js';
import { KEEP_s, type LoadMemory } from '../../safety/load-memory.js';
import { meanAfter_W } from '../../sequence/load-warmth.js';
import { isEnergised, type Plan, type PlanStep } from '../../sequence/plan.js';
import { RunEnd } from '../course/run-end.js';
import type { CourseEvent } from '../course/run-request.js';
import { SensorWatch } from './sensor-watch.js';

/** Samples were lost so often that the path cannot be trusted. */
export const TooManyDropouts = benchFault('TOO_MANY_DROPOUTS', (dropouts: number, limit: number) => ({
  what: `samples were lost in ${dropouts} captures of this run, more than the ${limit} that the bench file allows`,
  mend: 'Give the sound interface larger buffers or the computer less to do, and check the cable',
}));

/** What is guarded. */
export interface GuardedRun {
  readonly plan: Plan;
  readonly bench: Bench;
  readonly setup: BenchSetup;
  readonly sensors?: readonly Sensor[];
  readonly memory?: LoadMemory | null;
}

/** What the guard has from the walk. */
export interface GuardedWalk {
  /** Seconds of the run, over all its sessions. */
  at_s(): number;
  emit(event: CourseEvent): Promise<void>;
}

/** Where time is the world's, sensors are looked after this often. */
const POLL_ms = 500;
/** Where time is virtual, a rest is taken in pieces that end when the next sample is due, within these bounds. */
const LONGEST_PIECE_s = 20;
const SHORTEST_PIECE_s = 0.25;

/**
 * Stands between a run and its bench for as long as the run lasts, whatever step plays: shows every block to the
 * `CaptureWatch` and the `CourseWatch`, has the sensors sampled, hands what they say to the listener, and ends the run with a RunEnd.
 * A play that it ends is ramped down by the bench, as by any end of the iteration.
 */
export class RunGuard {
  /** The bench that the run is to use. */
  readonly bench: Bench;
  readonly #course: CourseWatch;
  readonly #capture: CaptureWatch;
  readonly #sensors: SensorWatch;
  readonly #alarm = new AbortController();
  readonly #joined = new WeakMap<AbortSignal, AbortSignal>();
  readonly #startedAt_s: number;
  #timer: NodeJS.Timeout | null = null;
  #dropouts = 0;
  #step: PlanStep | null = null;
  #kept_s = Number.NEGATIVE_INFINITY;
  #unkept: string | null = null;

  constructor(
    private readonly run: GuardedRun,
    private readonly walk: GuardedWalk,
  ) {
    this.#startedAt_s = run.bench.now_s();
    this.#course = new CourseWatch(courseLimits(run.plan, run.setup), run.setup);
    this.#capture = new CaptureWatch(run.bench.rate_Hz);
    const virtual = run.setup.clock === 'virtual';
    const clock = {
      now_s: virtual ? () => run.bench.now_s() : () => performance.now() / 1000,
      at_s: () => walk.at_s(),
      virtual,
    };
    this.#sensors = new SensorWatch(run.sensors ?? [], clock, () => this.#alarm.abort());
    this.bench = this.#guarded(run.bench, virtual);
    if (virtual || !run.sensors?.length) return;
    this.#timer = setInterval(() => this.#sensors.poll(), POLL_ms);
    this.#timer.unref();
  }

  /** The last value of each sensor. */
  sensorValues() {
    return this.#sensors.latest();
  }

  begin(step: PlanStep): void {
    this.#course.begin(step);
    this.#step = step;
    this.#kept_s = Number.NEGATIVE_INFINITY;
  }

  /**
   * Tells the watch what earlier sessions have put into the loads. Their energy counts against a limit that the bench file sets;
   * one that follows from the plan is for every session, since a run that goes on warms the unit once more.
   */
  wasGiven(meanOf: (channel: number, load: Load) => number, energy_J: number): void {
    const forAll = typeof this.run.setup.energyLimit_J === 'number';
    this.#course.wasGiven(meanOf, forAll ? energy_J : 0);
  }

  /** Takes the time that the operator needed out of the time limit. */
  excuse(seconds: number): void {
    this.#course.excuse(seconds);
  }

  /** Counts a capture that had lost samples. @throws TooManyDropouts */
  countDropout(): void {
    this.#dropouts += 1;
    const { dropoutLimit } = this.run.setup;
    if (dropoutLimit === undefined || this.#dropouts <= dropoutLimit) return;
    throw new TooManyDropouts(this.#dropouts, dropoutLimit);
  }

  /** Hands on what the sensors and the watch have said; then ends the run when one of them wants it. @throws RunEnd */
  async settle(): Promise<void> {
    this.#keepWarmth();
    await this.#tellUnkept();
    this.#sensors.poll();
    const { samples, notes } = this.#sensors.take();
    for (const sample of samples) await this.walk.emit({ kind: 'sensor', sample });
    for (const text of notes) await this.#note('probe', text);
    for (const text of this.#course.takeWarnings()) await this.#note('warmth', text);
    if (this.#sensors.trip !== null) throw new RunEnd('sensor', this.#sensors.trip);
  }

  /** Lets go of the sensors; what they have said is handed on, as far as it can be. */
  async close(): Promise<void> {
    if (this.#timer) clearInterval(this.#timer);
    this.#sensors.stop();
    this.#keep(0);
    await this.#tellUnkept();
    for (const sample of this.#sensors.take().samples) await this.walk.emit({ kind: 'sensor', sample });
  }

  #keepWarmth(): void {
    if (this.#gone_s() < this.#kept_s + KEEP_s) return;
    this.#kept_s = this.#gone_s();
    // A kill may come just before it is kept again.
    this.#keep(2 * KEEP_s);
  }

  /** Keeps what this session can have put into the loads after so many seconds more of its step. */
  #keep(ahead_s: number): void {
    const { memory } = this.run;
    if (!memory) return;
    const step = this.#step !== null && isEnergised(this.#step) ? this.#step : null;
    const now = this.#course.given().map(({ channel, load, own_W, energy_J }) => {
      const sounds = step !== null && step.load_ohm === load.nominal_ohm && step.driven.includes(channel);
      const power_W = sounds ? step.most_W : 0;
      return {
        channel,
        load_ohm: load.nominal_ohm,
        mean_W: Math.max(own_W, meanAfter_W(load, own_W, power_W, ahead_s)),
        energy_J: energy_J + power_W * ahead_s,
      };
    });
    const why = memory.keep(now);
    if (why !== null && this.#unkept === null) this.#unkept = why;
  }

  async #tellUnkept(): Promise<void> {
    if (this.#unkept === null || this.#unkept === '') return;
    const text = this.#unkept;
    this.#unkept = '';
    await this.#note('warmth', text);
  }

  /** Seconds since this session began. */
  #gone_s(): number {
    return this.run.bench.now_s() - this.#startedAt_s;
  }

  async #note(topic: string, text: string): Promise<void> {
    await this.walk.emit({ kind: 'note', topic, text, at_s: this.walk.at_s() });
  }

  async *#play(source: SignalSource): AsyncGenerator<SoundBlock, void, void> {
    this.#capture.restart();
    for await (const block of this.run.bench.play(source)) {
      for (const text of this.run.bench.takeNotes?.() ?? []) await this.#note('bench', text);
      this.#capture.look(block);
      const trip = this.#course.look(block, this.#gone_s());
      await this.settle();
      if (trip) throw new RunEnd('safety-limit', trip.text);
      yield block;
    }
  }

  async #idle(seconds: number, virtual: boolean, signal?: AbortSignal): Promise<void> {
    const { bench } = this.run;
    const either = signal ? this.#joinedTo(signal) : this.#alarm.signal;
    for (let left_s = seconds; left_s > 0 && !either.aborted; ) {
      const wait_s = Math.max(SHORTEST_PIECE_s, Math.min(LONGEST_PIECE_s, this.#sensors.wait_s));
      const piece_s = virtual ? Math.min(left_s, wait_s) : left_s;
      await bench.idle(piece_s, either);
      left_s -= piece_s;
      const trip = this.#course.rest(this.#gone_s());
      await this.settle();
      if (trip) throw new RunEnd('safety-limit', trip.text);
    }
    await this.settle();
  }

  /** Made once for each signal: the sources of a joined signal remember it for as long as they live. */
  #joinedTo(signal: AbortSignal): AbortSignal {
    const joined = this.#joined.get(signal) ?? AbortSignal.any([this.#alarm.signal, signal]);
    this.#joined.set(signal, joined);
    return joined;
  }

  #guarded(bench: Bench, virtual: boolean): Bench {
    return {
      kind: bench.kind,
      energises: bench.energises,
      rate_Hz: bench.rate_Hz,
      channels: bench.channels,
      get flags() {
        return bench.flags ?? [];
      },
      open: () => bench.open(),
      configure: (setting: BenchSetting) => bench.configure(setting),
      play: (source) => this.#play(source),
      idle: (seconds, signal) => this.#idle(seconds, virtual, signal),
      now_s: () => bench.now_s(),
      close: () => bench.close(),
    };
  }
}
