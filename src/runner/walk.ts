import type { Bench } from '../bench/bench.js';
import type { BenchSetup } from '../bench/bench-setup.js';
import type { ChannelChain, Load } from '../calibration/chain.js';
import type { Reading } from '../record/run-record.js';
import type { EnergisedStep, Plan } from '../sequence/plan.js';
import { LoadHeat } from './load-heat.js';
import type { MeasuredPoint } from './measure-point.js';
import type { PlanProgress } from './plan-progress.js';
import type { Ask, RunEvent } from './run-event.js';
import type { TonePlayer } from './tone-player.js';

/** What a run is made of. */
export interface RunRequest {
  readonly plan: Plan;
  readonly bench: Bench;
  readonly setup: BenchSetup;
  /** Awaited: when it has returned, what it was told is safe with it. */
  readonly listener: (event: RunEvent) => void | Promise<void>;
  readonly ask: Ask;
  readonly signal: AbortSignal;
}

/** What a climb found for one channel, for the sweeps that build on it. */
export interface ClimbFinding {
  readonly channel: number;
  /** Power at each mark, null where it was not crossed. */
  readonly powers: readonly { readonly percent: number; readonly power_W: number | null }[];
}

/** All that is known while a plan is walked. One per run. */
export class Walk {
  readonly heat = new LoadHeat();
  readonly findings = new Map<string, readonly ClimbFinding[]>();
  private readonly latest = new Map<number, Reading>();
  private points = 0;
  private readonly startedAt_s: number;

  constructor(
    readonly request: RunRequest,
    readonly progress: PlanProgress,
  ) {
    this.startedAt_s = request.bench.now_s();
  }

  /** Bench seconds since the run began. */
  at_s(): number {
    return this.request.bench.now_s() - this.startedAt_s;
  }

  /** The number that the next point kept will carry. */
  get nextPoint(): number {
    return this.points + 1;
  }

  /** Hands a point to the listener. From here on it counts. */
  async keep(measured: MeasuredPoint): Promise<void> {
    this.points += 1;
    for (const reading of measured.readings) this.latest.set(reading.channel, reading);
    await this.emit({ kind: 'point', ...measured });
  }

  async emit(event: RunEvent): Promise<void> {
    await this.request.listener(event);
  }

  async note(topic: string, text: string): Promise<void> {
    await this.emit({ kind: 'note', topic, text, at_s: this.at_s() });
  }

  /** Shows life: what is playing, and what each measured channel last gave in this step. */
  async showProgress(step: EnergisedStep, frequency_Hz: number, level_dB: number): Promise<void> {
    const latest = step.measured.map((channel) => this.latest.get(channel) ?? null);
    await this.emit({
      kind: 'progress',
      progress: {
        step: step.id,
        point: this.nextPoint,
        frequency_Hz,
        power_W: latest.map((reading) => reading?.power_W ?? null),
        thdn_percent: latest.map((reading) => reading?.thdn_percent ?? null),
        level_dB,
        done: this.progress.done,
        left_s: this.progress.left_s,
      },
    });
  }

  /** Accounts for `seconds` of silence in every load. */
  cool(seconds: number): void {
    for (const { channel, loads } of this.request.setup.channels)
      this.heat.add(channel, loads[0]!, 0, seconds);
  }

  /** Position of a channel among the bench's. */
  indexOf(channel: number): number {
    return this.request.setup.channels.findIndex((candidate) => candidate.channel === channel);
  }

  chain(channel: number): ChannelChain {
    return this.request.setup.channels.find((candidate) => candidate.channel === channel)!;
  }

  load(channel: number, nominal_ohm: number): Load {
    return this.chain(channel).loads.find((candidate) => candidate.nominal_ohm === nominal_ohm)!;
  }
}

/** A step while it is being played. */
export interface StepStage {
  readonly walk: Walk;
  readonly step: EnergisedStep;
  readonly player: TonePlayer;
  /** Tells the watch what each driven channel is expected to give from now on; null: not known. */
  expect(voltages_V: ReadonlyMap<number, number> | null): void;
}
