import { DocumentError } from '../schema/document-error.js';
import type { BenchFacts } from './bench-facts.js';
import { estimate } from './estimate.js';
import { type ClaimedPower, type Layout, type MarkingStep, StepLayout } from './lay-out.js';
import { inPasses } from './passes.js';
import { isEnergised, type Plan, type PlanStep, planOfKind } from './plan.js';
import { type Placed, placeSteps } from './repeat-cells.js';
import { type Sequence, singleSteps } from './written-sequence.js';

/** What is known besides the sequence and the bench. */
export interface PlanOptions {
  /** What the maker claims: levels may be shares of it. */
  readonly claims?: readonly ClaimedPower[];
}

/**
 * Lays a sequence out for a bench: every repeat written out, every frequency made coherent, every level limited
 * by the loads, attenuators and inputs, every channel named. Plays nothing.
 *
 * @throws DocumentError listing every fault of the file and every contradiction with the bench at once
 */
export function makePlan(sequence: Sequence, bench: BenchFacts, { claims = [] }: PlanOptions = {}): Plan {
  const faults = [...sequence.faults];
  const warnings = [...sequence.notices];
  const layout: Layout = { sequence, bench, faults, warnings, climbs: new Map(), claims };
  noteSameIds(layout);
  const claim_W = claims[0]?.power_W;
  const notes = {
    warn: (text: string) => void warnings.push(text),
    complain: (path: readonly PropertyKey[], what: string, mend: string) =>
      void faults.push(sequence.document.fault(path, what, mend)),
  };
  const present = bench.channels.map(({ channel }) => channel);
  const laidOut = placeSteps(sequence, present, notes)
    .map((written) => layOut(layout, written))
    .filter((step): step is PlanStep => step !== null);
  if (faults.length > 0) throw new DocumentError(sequence.document.file, faults);
  const steps = inPasses(laidOut, bench.channels);
  return {
    name: sequence.header.name!,
    about: sequence.header.about ?? '',
    steps,
    estimate: estimate(steps, bench),
    ...(claim_W == null ? {} : { claim_W }),
    warnings,
    sequence: { text: sequence.document.text, sha256: sequence.sha256 },
  };
}

function layOut(layout: Layout, written: Placed): PlanStep | null {
  const plan = planOfKind(written.kind);
  const step = plan.layOut(new StepLayout(layout, written));
  if (plan.needs !== 'signal' || !plan.marks) return step;
  const marking = step && isEnergised(step) ? { ...step, marks_percent: plan.thresholds(step) } : null;
  remember(layout, written, marking);
  return step;
}

/** Keeps a step for the levels that refer to it, under every id that its cell goes by. */
function remember({ climbs }: Layout, { id, cell }: Placed, step: MarkingStep | null): void {
  climbs.set(id, step);
  const base = id.slice(0, id.length - cell.suffix.length);
  for (const alias of cell.aliases) climbs.set(base + alias, step);
}

function noteSameIds({ sequence, faults }: Layout): void {
  const seen = new Set<string>();
  for (const step of singleSteps(sequence.steps)) {
    if (seen.has(step.id)) {
      const what = `the id '${step.id}' is taken by an earlier step`;
      faults.push(sequence.document.fault([...step.path, 'id'], what, 'give each step an id of its own'));
    }
    seen.add(step.id);
  }
}
