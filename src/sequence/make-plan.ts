import { DocumentError } from '../schema/document-error.js';
import { layOutClimb } from '../steps/climb/plan.js';
import { layOutHold } from '../steps/hold/plan.js';
import { layOutMaxPower } from '../steps/max-power/plan.js';
import { layOutQuiet } from '../steps/quiet/plan.js';
import { layOutSweep } from '../steps/sweep/plan.js';
import type { BenchFacts } from './bench-facts.js';
import type { ClaimedPower } from './claim-level.js';
import { estimate } from './estimate.js';
import type { Meeting } from './lay-out.js';
import { inPasses } from './passes.js';
import { type Placed, placeSteps } from './place-steps.js';
import type { ClimbStep, Plan, PlanStep } from './plan.js';
import type { Sequence } from './sequence-file.js';
import { singleSteps, type WrittenClimb } from './written-step.js';

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
  const meeting: Meeting = { sequence, bench, faults, warnings, climbs: new Map(), claims };
  noteSameIds(meeting);
  const claim_W = claims[0]?.power_W;
  const notes = {
    warn: (text: string) => void warnings.push(text),
    complain: (path: readonly PropertyKey[], what: string, mend: string) =>
      void faults.push(sequence.document.fault(path, what, mend)),
  };
  const present = bench.channels.map(({ channel }) => channel);
  const laidOut = placeSteps(sequence, present, notes)
    .map((written) => layOut(meeting, written))
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

function layOut(meeting: Meeting, written: Placed): PlanStep | null {
  switch (written.kind) {
    case 'ask':
      return { kind: 'ask', id: written.id, text: written.text, confirms: [] };
    case 'rest':
      return { kind: 'rest', id: written.id, seconds: written.seconds };
    case 'climb':
      return rememberClimb(meeting, written, layOutClimb(meeting, written));
    case 'sweep':
      return layOutSweep(meeting, written);
    case 'max-power':
      return layOutMaxPower(meeting, written);
    case 'hold':
    case 'warm-up':
      return layOutHold(meeting, written);
    case 'quiet':
      return layOutQuiet(meeting, written);
  }
}

/** Keeps a climb for the levels that refer to it, under every id that its cell goes by. */
function rememberClimb(
  { climbs }: Meeting,
  { id, cell }: Placed<WrittenClimb>,
  climb: ClimbStep | null,
): ClimbStep | null {
  climbs.set(id, climb);
  const base = id.slice(0, id.length - cell.suffix.length);
  for (const alias of cell.aliases) climbs.set(base + alias, climb);
  return climb;
}

function noteSameIds({ sequence, faults }: Meeting): void {
  const seen = new Set<string>();
  for (const step of singleSteps(sequence.steps)) {
    if (seen.has(step.id)) {
      const what = `the id '${step.id}' is taken by an earlier step`;
      faults.push(sequence.document.fault([...step.path, 'id'], what, 'give each step an id of its own'));
    }
    seen.add(step.id);
  }
}
