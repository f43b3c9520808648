import { DocumentError } from '../schema/document-error.js';
import type { BenchFacts } from './bench-facts.js';
import { estimate } from './estimate.js';
import type { Meeting } from './lay-out.js';
import { layOutClimb } from './lay-out-climb.js';
import { layOutSweep } from './lay-out-sweep.js';
import type { Plan, PlanStep } from './plan.js';
import type { Sequence, WrittenStep } from './sequence-file.js';

/**
 * Lays a sequence out for a bench: every frequency made coherent, every level limited by the loads,
 * attenuators and inputs, every channel named. Plays nothing.
 *
 * @throws DocumentError listing every fault of the file and every contradiction with the bench at once
 */
export function makePlan(sequence: Sequence, bench: BenchFacts): Plan {
  const meeting: Meeting = {
    sequence,
    bench,
    faults: [...sequence.faults],
    warnings: [],
    climbs: new Map(),
  };
  noteSameIds(meeting);
  const steps = sequence.steps
    .map((written) => layOut(meeting, written))
    .filter((step): step is PlanStep => step !== null);
  if (meeting.faults.length > 0) throw new DocumentError(sequence.document.file, meeting.faults);
  return {
    name: sequence.header.name!,
    about: sequence.header.about ?? '',
    steps,
    estimate: estimate(steps, bench),
    warnings: meeting.warnings,
    sequence: { text: sequence.document.text, sha256: sequence.sha256 },
  };
}

function layOut(meeting: Meeting, written: WrittenStep): PlanStep | null {
  if (written.kind === 'ask') return { kind: 'ask', id: written.id, text: written.text };
  if (written.kind === 'rest') return { kind: 'rest', id: written.id, seconds: written.seconds };
  if (written.kind === 'sweep') return layOutSweep(meeting, written);
  const climb = layOutClimb(meeting, written);
  meeting.climbs.set(written.id, climb);
  return climb;
}

function noteSameIds({ sequence, faults }: Meeting): void {
  const seen = new Set<string>();
  for (const step of sequence.steps) {
    if (seen.has(step.id)) {
      const what = `the id '${step.id}' is taken by an earlier step`;
      faults.push(sequence.document.fault([...step.path, 'id'], what, 'give each step an id of its own'));
    }
    seen.add(step.id);
  }
}
