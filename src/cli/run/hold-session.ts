import { existsSync } from 'node:fs';
import { wrapText } from '../../document/text/wrap-text.js';
import { EXIT } from '../../errors/ohmest-error.js';
import type { Permit, RunRecord } from '../../record/run-record.js';
import type { RunStore } from '../../store/contract/run-store.js';
import { visibleName } from '../../units/visible-text.js';
import { floorOfRun } from '../look/floor-of-run.js';
import { answerStatus, type FailOn } from '../terminal/answer-status.js';
import { type Operator, operatorAt } from '../terminal/ask.js';
import { statusOf } from '../terminal/fail.js';
import { watchersFor } from '../terminal/live-view.js';
import type { Terminal } from '../terminal/terminal.js';
import { FileUnwritable, writeUserText } from '../terminal/write-output.js';
import { type Confirmed, confirmedOnTheWay, readOnTheWay } from './cautions.js';
import type { BenchGiven } from './consent.js';
import { interruption } from './interruption.js';
import { type LivePage, openLivePage } from './live-page.js';
import { type Recording, recordRun } from './record-run.js';
import { askUnderPermit, permitFor, signedAnswers } from './use-permit.js';
import { loadWarmthBefore } from './warm-loads.js';

/** Options of every command that plays and records. */
export interface SessionOptions extends BenchGiven {
  readonly db: string;
  readonly report?: string;
  /** A port, or any that is free. */
  readonly live?: string | true;
  readonly json?: boolean;
  readonly failOn?: FailOn;
  readonly verbose?: boolean;
}

/** What is played and recorded, and how those who look on are served. */
export interface SessionJob {
  readonly recording: Pick<Recording, 'plan' | 'held' | 'unit' | 'claim' | 'keepCaptures' | 'continued'>;
  readonly options: SessionOptions;
  /** Opens the database, at the first call. */
  readonly store: () => Promise<RunStore>;
  readonly port: number | null | undefined;
  /** The checklist, answered by the person at the bench. */
  readonly answers: (
    operator: Operator,
    signal: AbortSignal,
  ) => Promise<Pick<Confirmed, 'answers' | 'setup'>>;
  /** Says what is about to begin; the permit is null with a person at the bench. */
  readonly announce: (permit: Permit | null) => void;
  /** The run that is resumed: it may have used the permit already, which then stands for all its sessions. */
  readonly again?: Pick<RunRecord, 'run' | 'permit' | 'checklist'>;
}

/** The run is kept and its report is not there: neither bad input, of which nothing would have been played, nor the bench's fault. */
const NOT_WRITTEN = 1;

/** Plays and records a run, with a person at the bench or under a permit, and presents it. @returns the exit status */
export async function holdSession(terminal: Terminal, job: SessionJob): Promise<number> {
  const { recording, options, port, again } = job;
  const { plan, held, claim = null } = recording;
  const { setup } = held;
  const unattended = options.permit !== undefined;
  const { signal, abort, release } = interruption(unattended && !process.stderr.isTTY);
  const operator = unattended ? null : operatorAt(terminal, { signal, abort }, setup);
  let page: LivePage | null = null;
  try {
    const usable = unattended
      ? await permitFor({ plan, setup, claim }, options.permit, { db: options.db, store: job.store }, again)
      : null;
    const permit = usable?.permit ?? null;
    page = await openLivePage(terminal, port, { abort, db: options.db });
    job.announce(permit);
    if (held.gap !== null) terminal.err(`note: ${held.gap}`);
    const memory = await loadWarmthBefore(setup, existsSync(options.db) ? await job.store() : null);
    for (const line of memory?.words ?? []) terminal.err(wrapText(`note: ${line}`, terminal.talkWidth, '  '));
    const confirmed = operator
      ? await job.answers(operator, signal)
      : { answers: signedAnswers(permit!), setup };
    const record = await recordRun({
      ...recording,
      store: await job.store(),
      permit: usable,
      memory,
      held: { setup: confirmed.setup, bench: held.bench, gap: held.gap },
      checklist: confirmed.answers,
      ...(operator && {
        askReading: (question, unit) => readOnTheWay({ terminal, operator, signal }, question, unit),
      }),
      ask: operator
        ? (question) => confirmedOnTheWay(operator, question)
        : askUnderPermit(permit!, plan, recording.continued?.earlier.from),
      verbose: options.verbose === true,
      signal,
      watchers: [...watchersFor(terminal), ...page.watchers],
    });
    const presented = await presentRun(terminal, record, options);
    const ended = statusOf(record.outcome === 'running' ? 'fault' : record.outcome);
    if (ended !== EXIT.done) return ended;
    return presented ? answerStatus(record, options.failOn) : NOT_WRITTEN;
  } finally {
    operator?.close();
    release();
    await page?.close();
  }
}

/**
 * The result on stdout, and the report where it was asked for. A report that cannot be written any more is told of and
 * costs the run nothing.
 *
 * @returns whether all that was asked for was written
 */
export async function presentRun(
  terminal: Terminal,
  record: RunRecord,
  options: { readonly db: string; readonly report?: string; readonly json?: boolean },
): Promise<boolean> {
  if (options.json) {
    const { showDocument } = await import('../../document/json/show-document.js');
    terminal.out(JSON.stringify(showDocument(record), null, 2));
  } else {
    const { runText } = await import('../../document/text/run-text.js');
    terminal.out(runText(record, { width: terminal.width, colour: terminal.colour }), 'styled');
    terminal.err(`run ${record.run} in ${visibleName(options.db)}`);
  }
  if (options.report !== undefined) {
    const { htmlReport } = await import('../../document/html/html-report.js');
    try {
      await writeUserText(options.report, htmlReport(record, null, floorOfRun(record)), 'page');
      terminal.err(`report: ${visibleName(options.report)}`);
    } catch (error) {
      if (!(error instanceof FileUnwritable)) throw error;
      terminal.err(
        `no report was written: ${error.message} The run is kept: \`ohmest report ${record.run} -o FILE --db ${visibleName(options.db)}\` writes its report.`,
      );
      return false;
    }
  }
  return true;
}
