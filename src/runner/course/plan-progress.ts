import { setUpPart } from '../../sequence/operator-change.js';
import { isWired, type Plan, type PlanStep, planOf, type WiredStep } from '../../sequence/plan.js';
import type { StepPart } from '../../sequence/step-plan.js';
import { keyOf, LearnedPace, type PaceClass } from './learned-pace.js';

/** From this share of a part on, what it has taken so far tells more of it than any estimate. */
const TELLING_SHARE = 0.25;
/** What takes less than this share of its estimate was skipped, since an earlier session has done it. */
const SKIPPED_SHARE = 0.1;

/** Parts of later steps that are expected to take alike. */
interface Ahead {
  readonly about: PaceClass;
  seconds: number;
}

/**
 * How far a plan has come, and how long the rest takes: by the estimate of the parts of its steps, corrected by how
 * long those that are over have taken on this unit and this bench.
 */
export class PlanProgress {
  readonly #parts: readonly (readonly StepPart[])[];
  readonly #pace = new LearnedPace();
  readonly #ahead = new Map<string, Ahead>();
  #aheadFixed_s = 0;
  /** What all later steps come to; null when something was learned since. */
  #later_s: number | null = null;
  #clock: () => number = () => 0;
  #index = -1;
  /** Parts of the current step that are not over, without that which goes on. */
  #open: StepPart[] = [];
  #part: StepPart | null = null;
  #share = 0;
  /** When that was said. */
  #sharedAt_s = 0;
  #begun_s = 0;
  #partBegun_s = 0;
  #most = 0;

  /** @param asks whether there is an operator who has to be asked */
  constructor(
    private readonly plan: Pick<Plan, 'steps'>,
    asks: boolean,
  ) {
    let before: WiredStep | null = null;
    this.#parts = plan.steps.map((step) => {
      const setUp = setUpPart(step, before, asks);
      if (isWired(step)) before = step;
      const own = planOf(step);
      if (own.question(step) !== null && !asks) return [];
      return setUp ? [setUp, ...own.parts(step)] : own.parts(step);
    });
    plan.steps.forEach((step, i) => {
      for (const part of this.#parts[i]!) this.#putAhead(step, part, part.seconds);
    });
  }

  /** Gives it the clock of the run, in seconds. */
  follow(clock: () => number): void {
    this.#clock = clock;
  }

  begin(step: PlanStep): void {
    if (this.#index < 0) this.#begun_s = this.#clock();
    this.#close();
    const index = this.plan.steps.indexOf(step);
    for (let i = this.#index + 1; i <= index; i += 1)
      for (const part of this.#parts[i]!) this.#putAhead(this.plan.steps[i]!, part, -part.seconds);
    this.#index = index;
    this.#open = [...this.#parts[index]!];
    this.#part = null;
    const [first] = this.#open;
    if (first) this.enter(first.name);
  }

  /** Says that a part of the current step begins, which ends the one before it. A name that it does not have tells nothing. */
  enter(name: string): void {
    const part = this.#open.find((candidate) => candidate.name === name);
    if (!part) return;
    this.#close();
    this.#open.splice(this.#open.indexOf(part), 1);
    this.#part = part;
    this.#share = 0;
    this.#partBegun_s = this.#clock();
  }

  /** Says which share of the current part is done; never goes back. */
  advance(share: number): void {
    this.#share = Math.min(1, Math.max(this.#share, share));
    this.#sharedAt_s = this.#clock();
  }

  /** Share of the plan's time that is over, 0 to 1; never goes back. */
  get done(): number {
    const left_s = this.left_s;
    const gone_s = this.#clock() - this.#begun_s;
    const done = gone_s + left_s > 0 ? gone_s / (gone_s + left_s) : 1;
    this.#most = Math.max(this.#most, Math.min(1, done));
    return this.#most;
  }

  /** Seconds that the rest of the plan will take. */
  get left_s(): number {
    this.#later_s ??= [...this.#ahead.values()].reduce(
      (sum, { about, seconds }) => sum + seconds * this.#pace.factor(about),
      this.#aheadFixed_s,
    );
    return this.#open.reduce(
      (sum, part) => sum + this.#expected_s(part),
      this.#later_s + this.#leftOfPart_s(),
    );
  }

  #leftOfPart_s(): number {
    const part = this.#part;
    if (!part) return 0;
    const expected_s = this.#expected_s(part);
    const now_s = this.#clock();
    if (this.#share === 0) return Math.max(0, expected_s - (now_s - this.#partBegun_s));
    const taken_s = this.#sharedAt_s - this.#partBegun_s;
    const trust = part.kind === 'fixed' ? 0 : Math.min(1, this.#share / TELLING_SHARE);
    const whole_s = (1 - trust) * expected_s + (trust * taken_s) / this.#share;
    return Math.max(0, whole_s * (1 - this.#share) - (now_s - this.#sharedAt_s));
  }

  #expected_s(part: StepPart): number {
    if (part.kind === 'fixed') return part.seconds;
    return part.seconds * this.#pace.factor(classOf(this.plan.steps[this.#index]!, part));
  }

  /** Learns from the part that went on until now. */
  #close(): void {
    const [part, step] = [this.#part, this.plan.steps[this.#index]];
    if (!part || !step || part.kind === 'fixed') return;
    const taken_s = this.#clock() - this.#partBegun_s;
    const skipped = part.kind !== 'causes' && taken_s < SKIPPED_SHARE * part.seconds;
    if (skipped) return;
    this.#pace.learn(classOf(step, part), part.seconds, taken_s);
    this.#later_s = null;
  }

  #putAhead(step: PlanStep, part: StepPart, seconds: number): void {
    this.#later_s = null;
    if (part.kind === 'fixed') {
      this.#aheadFixed_s += seconds;
      return;
    }
    const about = classOf(step, part);
    const key = keyOf(about);
    const ahead = this.#ahead.get(key) ?? { about, seconds: 0 };
    ahead.seconds += seconds;
    if (ahead.seconds > 1e-9) this.#ahead.set(key, ahead);
    else this.#ahead.delete(key);
  }
}

function classOf(step: PlanStep, { kind, nominal_Hz }: StepPart): PaceClass {
  const [load_ohm, driven] = isWired(step) ? [step.load_ohm, step.driven.length] : [0, 0];
  return { kind, nominal_Hz, load_ohm, driven };
}
