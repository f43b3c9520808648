import { stepSeconds } from '../sequence/estimate.js';
import type { Plan, PlanStep } from '../sequence/plan.js';

/** Steps whose time follows from how many looks a unit needs, and how long each takes it to settle. */
const BY_LOOKS: ReadonlySet<PlanStep['kind']> = new Set(['climb', 'sweep', 'ceiling']);
/** From this share of a step on, what it has taken so far tells more of it than any estimate. */
const TELLING_SHARE = 0.25;
/** What was learned counts as much as the estimate once it rests on so many seconds by the estimate. */
const TRUSTED_s = 8;
/** Nobody's looks take so many times more or less than the estimate: a strange beginning must not spoil the rest. */
const MOST_FACTOR = 5;

/** Seconds by the estimate, and those that they took. */
interface Account {
  estimated_s: number;
  taken_s: number;
}

/**
 * How far a plan has come, and how long the rest takes: by the estimate of its steps, corrected by how long the looks
 * of this unit on this bench have taken so far, of the same kind of step first of all.
 */
export class PlanProgress {
  private readonly accounts = new Map<PlanStep['kind'], Account>();
  private clock: () => number = () => 0;
  private index = -1;
  private step: PlanStep | null = null;
  private share = 0;
  private begun_s = 0;
  private stepBegun_s = 0;
  private firstSeen = { share: 0, at_s: 0 };
  private most = 0;

  constructor(private readonly plan: Pick<Plan, 'steps'>) {}

  /** Gives it the clock of the run, in seconds; without one, only the estimate counts. */
  follow(clock: () => number): void {
    this.clock = clock;
  }

  begin(step: PlanStep): void {
    if (this.step) this.learn(this.step, 1);
    else this.begun_s = this.clock();
    this.index = this.plan.steps.indexOf(step);
    this.step = step;
    this.share = 0;
    this.stepBegun_s = this.clock();
  }

  /** Says which share of the current step is done; never goes back. */
  advance(share: number): void {
    if (this.share === 0 && share > 0) this.firstSeen = { share, at_s: this.clock() };
    this.share = Math.min(1, Math.max(this.share, share));
  }

  /** Share of the plan's time that is over, 0 to 1; never goes back. */
  get done(): number {
    const left_s = this.left_s;
    const gone_s = this.clock() - this.begun_s + (this.clock() === this.begun_s ? this.estimatedGone_s() : 0);
    const done = gone_s + left_s > 0 ? gone_s / (gone_s + left_s) : 1;
    this.most = Math.max(this.most, Math.min(1, done));
    return this.most;
  }

  /** Seconds that the rest of the plan will take. */
  get left_s(): number {
    const later = this.plan.steps.slice(this.index + 1);
    return later.reduce((sum, step) => sum + this.expected_s(step), this.leftOfStep_s());
  }

  /** Where there is no clock, time goes by the shares of the estimate. */
  private estimatedGone_s(): number {
    const before = this.plan.steps.slice(0, Math.max(0, this.index));
    const current_s = this.step ? stepSeconds(this.step) * this.share : 0;
    return before.reduce((sum, step) => sum + stepSeconds(step), current_s);
  }

  private leftOfStep_s(): number {
    if (!this.step) return 0;
    const estimate_s = this.expected_s(this.step) * (1 - this.share);
    const taken_s = this.clock() - this.stepBegun_s;
    if (!BY_LOOKS.has(this.step.kind))
      return this.share === 0 ? Math.max(0, estimate_s - taken_s) : estimate_s;
    if (this.share === 0 || taken_s <= 0) return Math.max(0, estimate_s - taken_s);
    // What a step does before its first point is not what the rest of it is made of.
    const { share, at_s } = this.firstSeen;
    const trust = Math.min(1, (this.share - share) / TELLING_SHARE);
    if (trust <= 0) return estimate_s;
    const pace = (this.clock() - at_s) / (this.share - share);
    return (1 - trust) * estimate_s + trust * pace * (1 - this.share);
  }

  private expected_s(step: PlanStep): number {
    const estimate_s = stepSeconds(step);
    if (!BY_LOOKS.has(step.kind)) return estimate_s;
    const general = factorOf([...this.running()].map(([, account]) => account));
    const own = this.running().get(step.kind);
    return estimate_s * (own ? factorOf([own], general) : general);
  }

  /** What was learned, the current step included as far as it has come. */
  private running(): ReadonlyMap<PlanStep['kind'], Account> {
    if (!this.step || !BY_LOOKS.has(this.step.kind) || this.share < TELLING_SHARE) return this.accounts;
    return new Map(this.accounts).set(this.step.kind, this.accountWith(this.step, this.share));
  }

  private learn(step: PlanStep, share: number): void {
    if (BY_LOOKS.has(step.kind)) this.accounts.set(step.kind, this.accountWith(step, share));
  }

  private accountWith(step: PlanStep, share: number): Account {
    const known = this.accounts.get(step.kind) ?? { estimated_s: 0, taken_s: 0 };
    return {
      estimated_s: known.estimated_s + share * stepSeconds(step),
      taken_s: known.taken_s + (this.clock() - this.stepBegun_s),
    };
  }
}

/** Seconds taken for one by the estimate; `prior` counts as much as a few seconds of it. */
function factorOf(accounts: readonly Account[], prior = 1): number {
  const estimated_s = accounts.reduce((sum, account) => sum + account.estimated_s, 0);
  const taken_s = accounts.reduce((sum, account) => sum + account.taken_s, 0);
  const factor = (taken_s + prior * TRUSTED_s) / (estimated_s + TRUSTED_s);
  return Math.min(MOST_FACTOR, Math.max(1 / MOST_FACTOR, factor));
}
