import type { Bench } from '../../bench/bench.js';
import type { BenchSetup } from '../../bench/bench-setup.js';
import type { Probe } from '../../bench/probe.js';
import { type ChannelChain, type Load, overdueOn } from '../../calibration/chain.js';
import type { Settling } from '../../measure/settled.js';
import { findingKey } from '../../record/finding.js';
import type { QuantityName } from '../../record/quantities.js';
import type { Point, Reading } from '../../record/run-record.js';
import { KnownGains } from '../../safety/known-gains.js';
import type { EnergisedStep, Plan } from '../../sequence/plan.js';
import { peakFor } from '../capture/drive.js';
import type { TonePlayer } from '../capture/tone-player.js';
import { RunGuard } from '../guard/run-guard.js';
import { AsBefore } from '../memory/as-before.js';
import { FoundPowers } from '../memory/found-powers.js';
import type { LoadPower } from '../memory/load-comparison.js';
import { LowestReadings } from '../memory/lowest-readings.js';
import { outputOf } from '../memory/same-unit.js';
import type { Ask, CourseEvent, MeasuredPoint } from './course-event.js';
import type { EarlierSessions, StoredPoint } from './earlier-sessions.js';
import { LoadHeat } from './load-heat.js';
import type { PlanProgress } from './plan-progress.js';
import { warmAsBefore } from './warmth-before.js';

/** What a run is made of. */
export interface RunRequest {
  readonly plan: Plan;
  readonly bench: Bench;
  readonly setup: BenchSetup;
  /** What is sampled in the background; left out: nothing. */
  readonly probes?: readonly Probe[];
  /** Awaited: when it has returned, what it was told is safe with it. */
  readonly listener: (event: CourseEvent) => void | Promise<void>;
  readonly ask: Ask;
  readonly signal: AbortSignal;
  /** What earlier sessions of the run have left; null or absent for a new one. */
  readonly earlier?: EarlierSessions | null;
}

/** A channel that gives so little beside the tone neither clips nor swallows any of it. */
const CLEAN_PERCENT = 1;

const placeOf = ({ point, channel }: Pick<Reading, 'point' | 'channel'>): string => `${point}/${channel}`;

/** Channels of which a record is overdue; all of them when the floor's is, since every reading is held against it. */
function overdueChannels({ channels, floorRecord, day }: BenchSetup): Set<number> {
  const floorOverdue = floorRecord ? overdueOn(floorRecord, day) : false;
  const late = channels.filter(
    ({ records }) => floorOverdue || records.some((record) => overdueOn(record, day)),
  );
  return new Set(late.map(({ channel }) => channel));
}

/** What the loads of a step were last given. */
interface Sounding {
  readonly step: string;
  readonly load_ohm: number;
  readonly power_W: ReadonlyMap<number, number>;
}

/** All that is known while a plan is walked. One per run. */
export class Walk {
  /** With the bench that the guard watches over. */
  readonly request: RunRequest;
  readonly guard: RunGuard;
  readonly heat = new LoadHeat();
  /** What the unit has given since somebody last changed something. */
  readonly knownGains = new KnownGains();
  readonly asBefore = new AsBefore();
  /** What bounds the residue of a bench that states none. */
  readonly lowestReadings = new LowestReadings();
  /** Channels that rest on a calibration record past its due date. */
  readonly overdue: ReadonlySet<number>;
  private readonly latest = new Map<number, Reading>();
  /** How the records behind the readings of the present step had settled. */
  private settlings = new Map<string, Settling>();
  private settlingsOf = '';
  /** Whether something was connected by hand since the wiring was last checked. */
  wiringIsNew = false;
  /** Powers into one load that others of the plan are to be held against. */
  readonly loadPowers: LoadPower[] = [];
  /** The maximum powers so far, those of earlier sessions included. */
  readonly found = new FoundPowers();
  private readonly said = new Set<string>();
  private points = 0;
  /** What the bench's clock says at 0 s of the run. */
  private startedAt_s: number;
  /** Until when the warmth of the loads is accounted for, and what has sounded since. */
  private heatedUntil_s = 0;
  private sounding: Sounding | null = null;

  constructor(
    request: RunRequest,
    readonly progress: PlanProgress,
  ) {
    this.guard = new RunGuard(request, this);
    this.request = { ...request, bench: this.guard.bench };
    this.startedAt_s = request.bench.now_s();
    this.overdue = overdueChannels(request.setup);
    progress.follow(() => this.request.bench.now_s());
    if (request.earlier) this.goOnFrom(request.earlier);
  }

  private goOnFrom(earlier: EarlierSessions): void {
    const { plan, setup } = this.request;
    this.startedAt_s -= earlier.at_s;
    this.heatedUntil_s = earlier.at_s;
    this.points = earlier.points;
    this.settlingsOf = plan.steps[earlier.from]?.id ?? '';
    this.settlings = new Map(earlier.settlings);
    const energy_J = warmAsBefore(this.heat, setup, plan, earlier);
    this.guard.wasGiven((channel, load) => this.heat.of(channel, load), energy_J);
    for (const finding of earlier.findings) this.found.see(finding);
  }

  /** What an earlier session has read in a step that was broken off. */
  stored(step: string): readonly StoredPoint[] {
    const { plan, earlier } = this.request;
    return earlier && plan.steps[earlier.from]?.id === step ? earlier.stored : [];
  }

  /** Whether an earlier session has found a quantity in a step (at a nominal frequency, of a channel, where given). */
  hasFinding(quantity: QuantityName, step: string, nominal_Hz?: number, channel?: number): boolean {
    return (this.request.earlier?.findings ?? []).some(
      ({ quantity: found, setting, stimulus }) =>
        found === quantity &&
        setting.step === step &&
        (channel === undefined || setting.channel === channel) &&
        (nominal_Hz === undefined || stimulus.nominal_Hz === nominal_Hz),
    );
  }

  /** Bench seconds since the run began, those of earlier sessions included. */
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
    for (const reading of measured.readings) {
      this.latest.set(reading.channel, reading);
      this.lowestReadings.see(reading);
    }
    await this.emit({ kind: 'point', ...measured });
  }

  /** Tells whoever compares with before that somebody has changed something. */
  forgetUnit(): void {
    this.knownGains.forget();
    this.asBefore.forget();
  }

  /** A reading as just taken, flagged when the same setting gave something else before; from now on it is known itself. */
  compared(point: Point, reading: Reading): Reading {
    const peak = peakFor(this.chain(reading.channel), outputOf(reading));
    const { channel, frequency_Hz, voltage_V, thdn_percent } = reading;
    const clean = thdn_percent < CLEAN_PERCENT;
    if (!reading.flags.includes('no-tone'))
      this.knownGains.learn({ channel, frequency_Hz, peak, gain: voltage_V / peak, clean });
    return this.asBefore.judged(point, reading);
  }

  /** Keeps for the length of a step how a reading's record had settled: what its results need for their uncertainty. */
  rememberSettling(reading: Reading, settling: Settling | null): void {
    if (this.settlingsOf !== reading.step) this.settlings = new Map();
    this.settlingsOf = reading.step;
    if (settling) this.settlings.set(placeOf(reading), settling);
  }

  /** Null for a reading of another step, or one that was not taken by this run of the program. */
  settlingOf(reading: Reading): Settling | null {
    return this.settlings.get(placeOf(reading)) ?? null;
  }

  /** What an earlier session has found already is not told again. */
  async emit(event: CourseEvent): Promise<void> {
    if (event.kind === 'finding') {
      if (this.request.earlier?.known.has(findingKey(event.finding))) return;
      this.found.see(event.finding);
    }
    await this.request.listener(event);
  }

  async note(topic: string, text: string): Promise<void> {
    await this.emit({ kind: 'note', topic, text, at_s: this.at_s() });
  }

  /** Whether this has been said before in the run; from now on it has. */
  alreadySaid(what: string): boolean {
    const before = this.said.has(what);
    this.said.add(what);
    return before;
  }

  /** Shows life: what is playing, and what each measured channel last gave in this step. */
  async showProgress(step: EnergisedStep, frequency_Hz: number, level_dB: number): Promise<void> {
    const latest = step.measured
      .map((channel) => this.latest.get(channel))
      .map((reading) => (reading?.step === step.id ? reading : null));
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
        probes: this.guard.probeValues(),
      },
    });
  }

  /** Accounts in every load for the time until now as one of silence. */
  cool(): void {
    this.sounding = null;
    this.heatUntil(this.at_s());
  }

  /**
   * Accounts in every load for the time up to `from_s`, at which something new begins to sound: what sounded last goes on
   * sounding within a step, and between steps there is silence.
   */
  heatUpTo(step: EnergisedStep, from_s: number): void {
    if (this.sounding?.step !== step.id) this.sounding = null;
    this.heatUntil(from_s);
  }

  /** Accounts for the time until now at these powers into the step's loads; every other load cools. */
  warm(step: EnergisedStep, power_W: ReadonlyMap<number, number>): void {
    this.sounding = { step: step.id, load_ohm: step.load_ohm, power_W };
    this.heatUntil(this.at_s());
  }

  private heatUntil(until_s: number): void {
    const seconds = Math.max(0, until_s - this.heatedUntil_s);
    this.heatedUntil_s = Math.max(this.heatedUntil_s, until_s);
    if (seconds === 0) return;
    for (const { channel, loads } of this.request.setup.channels)
      for (const load of loads) {
        const sounds = this.sounding?.load_ohm === load.nominal_ohm;
        this.heat.add(channel, load, (sounds && this.sounding?.power_W.get(channel)) || 0, seconds);
      }
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
  /** Tells the watch what each channel was read to give: load volts (rms) per unit of digital peak. */
  learn(gains: ReadonlyMap<number, number>): void;
}
