import { writeFileSync } from 'node:fs';
import type { BenchSetup } from '../bench/bench-setup.js';
import { InputError } from '../errors/ohmest-error.js';
import type { RunRecord } from '../record/run-record.js';
import { checklist } from '../safety/checklist.js';
import { hazards } from '../safety/hazards.js';
import type { Plan } from '../sequence/plan.js';
import { openStore } from '../store/store.js';
import { type Operator, operatorAt } from './ask.js';
import { statusOf } from './fail.js';
import { interruption } from './interruption.js';
import { ProgressLine } from './progress-line.js';
import { benchNamed, planNamed } from './read-input.js';
import { recordRun } from './record-run.js';
import type { Terminal } from './terminal.js';

export interface RunOptions {
  readonly bench: string;
  readonly unit: string;
  readonly db: string;
  readonly captures?: boolean;
  readonly report?: string;
  readonly json?: boolean;
}

/** The person at the bench did not confirm a point of the checklist. */
export class ChecklistRefused extends InputError {
  readonly code = 'CHECKLIST_REFUSED';
}

const NOTHING_PLAYED = 'Nothing was played. Start again when it is so';

/** `ohmest run`: checks everything, asks what must be asked, plays, records, and says what was found. */
export async function run(terminal: Terminal, sequence: string, options: RunOptions): Promise<number> {
  const setup = benchNamed(options.bench);
  const plan = planNamed(sequence, setup);
  const store = openStore(options.db, { mode: 'create' });
  const { signal, release } = interruption();
  const operator = operatorAt(terminal, signal);
  try {
    const answers = await cautions(terminal, operator, plan, setup);
    const record = await recordRun({
      store,
      plan,
      setup,
      unit: options.unit,
      checklist: answers,
      keepCaptures: options.captures === true,
      ask: (text) => operator.confirm(text),
      signal,
      progress: new ProgressLine(terminal),
    });
    await present(terminal, record, options);
    return statusOf(record.outcome === 'running' ? 'fault' : record.outcome);
  } finally {
    operator.close();
    release();
    store.close();
  }
}

/** Says what can go wrong, and on a bench with real power has each point of the checklist confirmed. */
async function cautions(
  terminal: Terminal,
  operator: Operator,
  plan: Plan,
  setup: BenchSetup,
): Promise<RunRecord['checklist']> {
  for (const warning of plan.warnings ?? []) terminal.err(`note: ${warning}`);
  for (const hazard of hazards(plan, setup)) terminal.err(`! ${hazard.text}`);
  const items = checklist(plan, setup);
  if (!energises(setup)) {
    for (const item of items) terminal.err(`  ${item.text}`);
    terminal.err('  (nothing is asked: this bench puts no power on any terminal)');
    return [];
  }
  const by = await operator.text('Your name, for the record:');
  if (by === '') throw new ChecklistRefused({ what: 'the checklist was broken off', mend: NOTHING_PLAYED });
  const answers: RunRecord['checklist'][number][] = [];
  for (const item of items) {
    if (!(await operator.confirm(item.text))) {
      throw new ChecklistRefused({
        what: `not confirmed: ${item.text}`,
        mend: 'Nothing was played. Start again when it is so',
      });
    }
    answers.push({ item: item.text, answer: 'yes', by, at: new Date().toISOString() });
  }
  return answers;
}

function energises(setup: BenchSetup): boolean {
  return (
    setup.interface.kind === 'audio' || (setup.interface.kind === 'command' && setup.interface.energises)
  );
}

/** The result on stdout, and the report where it was asked for. */
async function present(terminal: Terminal, record: RunRecord, options: RunOptions): Promise<void> {
  if (options.report) {
    const { htmlReport } = await import('../report/html-report.js');
    writeFileSync(options.report, await htmlReport([record]));
    terminal.err(`report: ${options.report}`);
  }
  if (options.json) {
    const { showDocument } = await import('../report/show-document.js');
    terminal.out(JSON.stringify(showDocument(record), null, 2));
    return;
  }
  const { textSummary } = await import('../report/text-summary.js');
  terminal.out(textSummary(record, { width: terminal.width, colour: terminal.colour }));
  terminal.err(`run ${record.run} in ${options.db}`);
}
