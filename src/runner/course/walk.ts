import type { BenchSetup } from '../../bench/bench-setup.js';
import { type ChannelChain, type Load, overdueOn } from '../../calibration/chain.js';
import { findingKey } from '../../record/finding.js';
import type { QuantityName } from '../../record/quantities.js';
import type { Reading } from '../../record/run-record.js';
import type { EnergisedStep } from '../../sequence/plan.js';
import type { CaptureTally } from '../capture/capture-tally.js';
import type { TonePlayer } from '../capture/tone-player.js';
import { RunGuard } from '../guard/run-guard.js';
import { KnownPowers } from '../memory/known-powers.js';
import type { LoadPower } from '../memory/load-comparison.js';
import { UnitMemory } from '../memory/unit-memory.js';
import type { StoredPoint } from './earlier-sessions.js';
import { HeatAccount } from './load-heat.js';
import type { PlanProgress } from './plan-progress.js';
import type { CourseEvent, MeasuredPoint, RunRequest } from './run-request.js';
import { coolingTime_s, warmAsBefore, warmByOthers } from './warmth-before.js';

/** All that is known while a plan is walked. One per run. */
export class Walk {
  /** With the bench that the guard watches over. */
  readonly request: RunRequest;
  readonly guard: RunGuard;
  readonly heat: HeatAccount;
  readonly unit: UnitMemory;
  /** Channels that rest on a calibration record past its due date. */
  readonly overdue: ReadonlySet<number>;
  private readonly latest = new Map<number, Reading>();
  /** Whether something was connected by hand since the wiring was last checked. */
  wiringIsNew = false;
  /** Powers into one load that others of the plan are to be held against. */
  readonly loadPowers: LoadPower[] = [];
  /** The maximum powers so far, those of earlier sessions included. */
  readonly found = new KnownPowers();
  private readonly said = new Set<string>();
  private points = 0;
  /** What the bench's clock says at 0 s of the run. */
  private readonly startedAt_s: number;

  constructor(
    request: RunRequest,
    readonly progress: PlanProgress,
  ) {
    const { setup, earlier, plan } = request;
    this.guard = new RunGuard(request, this);
    this.request = { ...request, bench: this.guard.bench };
    this.startedAt_s = request.bench.now_s() - (earlier?.at_s ?? 0);
    this.points = earlier?.points ?? 0;
    this.overdue = overdueChannels(setup);
    this.heat = new HeatAccount(setup.channels, () => this.at_s(), earlier?.at_s ?? 0);
    this.unit = new UnitMemory(
      setup.channels,
      earlier ? plan.steps[earlier.from]?.id : '',
      earlier?.settlings,
    );
    progress.follow(() => this.request.bench.now_s());
    if (earlier) warmAsBefore(this.heat, setup, plan, earlier);
    warmByOthers(this.heat, setup, request.memory ?? null);
    this.guard.wasGiven((channel, load) => this.heat.of(channel, load), this.heat.energy_J);
    this.guard.excuse(coolingTime_s(this.heat, setup));
    if (!earlier) return;
    for (const finding of earlier.findings) this.found.see(finding);
    this.unit.sweptBands.takeUp(plan.steps.slice(0, earlier.from), earlier.swept);
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
      this.unit.lowestReadings.see(reading);
    }
    await this.emit({ kind: 'point', ...measured });
  }

  /** What an earlier session has found already is not told again, unless its step is played again as a whole. */
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
        sensors: this.guard.sensorValues(),
      },
    });
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
  /** What was left out of captures. */
  readonly captures: CaptureTally;
  /** Tells the watch what each channel was read to give: load volts (rms) per unit of digital peak. */
  learn(gains: ReadonlyMap<number, number>): void;
}

/** Channels of which a record is overdue; all of them when the floor's is, since every reading is held against it. */
function overdueChannels({ channels, floorRecord, day }: BenchSetup): Set<number> {
  const floorOverdue = floorRecord ? overdueOn(floorRecord, day) : false;
  const late = channels.filter(
    ({ records }) => floorOverdue || records.some((record) => overdueOn(record, day)),
  );
  return new Set(late.map(({ channel }) => channel));
}
