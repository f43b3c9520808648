import { stepSeconds } from '../sequence/estimate.js';
import type { Plan, PlanStep } from '../sequence/plan.js';

/** How far a plan has come, by the estimate of its steps. */
export class PlanProgress {
  private readonly total_s: number;
  private before_s = 0;
  private current_s = 0;
  private share = 0;

  constructor(private readonly plan: Plan) {
    this.total_s = plan.steps.reduce((sum, step) => sum + stepSeconds(step), 0);
  }

  begin(step: PlanStep): void {
    const index = this.plan.steps.indexOf(step);
    this.before_s = this.plan.steps.slice(0, index).reduce((sum, earlier) => sum + stepSeconds(earlier), 0);
    this.current_s = stepSeconds(step);
    this.share = 0;
  }

  /** Says which share of the current step is done; never goes back. */
  advance(share: number): void {
    this.share = Math.min(1, Math.max(this.share, share));
  }

  /** Share of the plan that is done, 0 to 1. */
  get done(): number {
    return this.total_s > 0 ? (this.before_s + this.share * this.current_s) / this.total_s : 1;
  }

  get left_s(): number {
    return this.total_s * (1 - this.done);
  }
}
