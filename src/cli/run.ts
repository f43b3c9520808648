import { existsSync } from 'node:fs';
import type { BenchSetup } from '../bench/bench-setup.js';
import { EXIT, InputError, OhmestError } from '../errors/ohmest-error.js';
import type { RunRecord } from '../record/run-record.js';
import { unitLabel } from '../record/unit-label.js';
import { checklist } from '../safety/checklist.js';
import { hazards } from '../safety/hazards.js';
import type { Plan } from '../sequence/plan.js';
import { requireStorePlace } from '../store/require-store-place.js';
import { openStore, type Store } from '../store/store.js';
import { NobodyToAsk, type Operator, operatorAt } from './ask.js';
import { statusOf } from './fail.js';
import { FaultList } from './fault-list.js';
import { interruption } from './interruption.js';
import { benchFor } from './open-bench.js';
import { ProgressLine } from './progress-line.js';
import { planNamed } from './read-input.js';
import { recordRun } from './record-run.js';
import type { Terminal } from './terminal.js';
import { requireWritable, writeUserFile } from './write-output.js';

export interface RunOptions {
  readonly bench: string;
  readonly unit: string;
  readonly claim?: string;
  readonly db: string;
  readonly captures?: boolean;
  readonly report?: string;
  readonly json?: boolean;
}

/** The person at the bench did not confirm a point of the checklist. */
export class ChecklistRefused extends InputError {
  readonly code = 'CHECKLIST_REFUSED';
}

/** The operator pressed Ctrl-C before anything was played. */
export class BrokenOff extends OhmestError {
  readonly code = 'BROKEN_OFF';
  readonly exitStatus = EXIT.interrupted;
}

const NOTHING_PLAYED = 'Nothing was played. Start again when it is so';

/** `ohmest run`: checks everything, asks what must be asked, plays, records, and says what was found. */
export async function run(terminal: Terminal, sequence: string, options: RunOptions): Promise<number> {
  const { setup, plan, unit } = readInputs(sequence, options);
  const bench = await benchFor(setup);
  const place = storePlace(options.db);
  const { signal, abort, release } = interruption();
  const operator = operatorAt(terminal, { signal, abort });
  try {
    const answers = await cautions(terminal, operator, plan, setup, signal);
    const record = await recordRun({
      store: place.store(),
      plan,
      setup,
      bench,
      unit,
      checklist: answers,
      keepCaptures: options.captures === true,
      ask: (text) => confirmedOnTheWay(operator, text),
      signal,
      progress: new ProgressLine(terminal),
    });
    await present(terminal, record, options);
    return statusOf(record.outcome === 'running' ? 'fault' : record.outcome);
  } finally {
    operator.close();
    release();
    place.close();
  }
}

/**
 * A database that is there is opened, or refused, before anything is asked. One that is not is made only when there is
 * a run to record, so that a refused checklist leaves no empty file behind.
 */
function storePlace(db: string): { store(): Store; close(): void } {
  let store = existsSync(db) ? openStore(db, { mode: 'create' }) : null;
  if (!store) requireStorePlace(db);
  return {
    store: () => {
      store ??= openStore(db, { mode: 'create' });
      return store;
    },
    close: () => store?.close(),
  };
}

/** Everything that can be wrong before the bench is looked at. @throws InputError listing all of it */
function readInputs(sequence: string, options: RunOptions) {
  const faults = new FaultList();
  const unit = faults.gather(() => unitLabel(options.unit));
  const { report } = options;
  if (report !== undefined) faults.gather(() => requireWritable(report));
  return { ...planNamed(sequence, options.bench, faults, options.claim), unit: unit! };
}

/** An answer in the middle of a run: when nobody is left to give it, it is no. */
async function confirmedOnTheWay(operator: Operator, text: string): Promise<boolean> {
  try {
    return await operator.confirm(text);
  } catch (error) {
    if (error instanceof NobodyToAsk) return false;
    throw error;
  }
}

/** Says what can go wrong, and on a bench with real power has each point of the checklist confirmed. */
async function cautions(
  terminal: Terminal,
  operator: Operator,
  plan: Plan,
  setup: BenchSetup,
  signal: AbortSignal,
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
  throwIfBrokenOff(signal);
  if (by === '')
    throw new ChecklistRefused({ what: 'no name was given for the record', mend: NOTHING_PLAYED });
  const answers: RunRecord['checklist'][number][] = [];
  for (const item of items) {
    const confirmed = await operator.confirm(item.text);
    throwIfBrokenOff(signal);
    if (!confirmed) {
      throw new ChecklistRefused({ what: `not confirmed: ${item.text}`, mend: NOTHING_PLAYED });
    }
    answers.push({ item: item.text, answer: 'yes', by, at: new Date().toISOString() });
  }
  return answers;
}

function throwIfBrokenOff(signal: AbortSignal): void {
  if (signal.aborted) throw new BrokenOff({ what: 'the checklist was broken off', mend: NOTHING_PLAYED });
}

function energises(setup: BenchSetup): boolean {
  return (
    setup.interface.kind === 'audio' || (setup.interface.kind === 'command' && setup.interface.energises)
  );
}

/** The result on stdout, and the report where it was asked for. */
async function present(terminal: Terminal, record: RunRecord, options: RunOptions): Promise<void> {
  if (options.json) {
    const { showDocument } = await import('../report/show-document.js');
    terminal.out(JSON.stringify(showDocument(record), null, 2));
  } else {
    const { textSummary } = await import('../report/text-summary.js');
    terminal.out(textSummary(record, { width: terminal.width, colour: terminal.colour }));
    terminal.err(`run ${record.run} in ${options.db}`);
  }
  if (options.report !== undefined) {
    const { htmlReport } = await import('../report/html-report.js');
    writeUserFile(options.report, await htmlReport([record]));
    terminal.err(`report: ${options.report}`);
  }
}
