import type { Bench } from '../../src/bench/bench.js';
import type { BenchSetup } from '../../src/bench/bench-setup.js';
import { usedRecords } from '../../src/calibration/used-records.js';
import type { Finding } from '../../src/record/finding.js';
import type { RunEvent } from '../../src/record/run-event.js';
import type { Point, Reading, RunRecord } from '../../src/record/run-record.js';
import { runPlan } from '../../src/runner/course/run-plan.js';
import type { CourseEvent } from '../../src/runner/course/run-request.js';
import type { Plan } from '../../src/sequence/plan.js';

/** What is played, and for what claim. */
export interface Playing {
  readonly plan: Plan;
  readonly setup: BenchSetup;
  readonly bench: Bench;
  readonly claim?: string | null;
}

/** Plays a plan by the whole runner, every question answered with yes, and gathers the run as a store would keep it. */
export async function playedRecord({ plan, setup, bench, claim = null }: Playing): Promise<RunRecord> {
  const points: Point[] = [];
  const readings: Reading[] = [];
  const findings: Finding[] = [];
  const events: RunEvent[] = [];
  const listener = (event: CourseEvent): void => {
    if (event.kind === 'point') {
      points.push(event.point);
      readings.push(...event.readings);
    } else if (event.kind === 'finding') findings.push(event.finding);
    else if (event.kind !== 'progress' && event.kind !== 'sensor') events.push(event);
  };
  const { outcome, reason } = await runPlan({
    ...{ plan, setup, bench, listener, ask: async () => true, signal: new AbortController().signal },
  });
  const { name, kind, rate_Hz, text, sha256 } = setup;
  return {
    ...{ run: 1, outcome, reason, started: '2031-01-01T00:00:00Z', ended: '2031-01-01T01:00:00Z' },
    ...{ version: 'played', unit: { label: 'invented' }, claim, permit: null },
    bench: { name, kind, rate_Hz, text, sha256 },
    sequence: { name: plan.name, ...plan.sequence },
    calibration: usedRecords(setup).map((one) => ({
      ...{ id: one.id, kind: one.kind, text: one.text, sha256: one.sha256 },
    })),
    ...{ checklist: [], sessions: [], probes: [], points, readings, findings, events },
  };
}
