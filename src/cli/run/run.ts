import { kindOf } from '../../bench/kinds.js';
import { unitLabel } from '../../record/unit-label.js';
import { requireCapturePlace } from '../../store/sqlite/require-store-place.js';
import { storePlace } from '../look/store-place.js';
import { operatorAt } from '../terminal/ask.js';
import { statusOf } from '../terminal/fail.js';
import { FaultList } from '../terminal/fault-list.js';
import { planNamed } from '../terminal/read-input.js';
import type { Terminal } from '../terminal/terminal.js';
import { watchersFor } from '../terminal/watchers.js';
import { requireWritable } from '../terminal/write-output.js';
import { cautions, confirmedOnTheWay } from './cautions.js';
import { interruption } from './interruption.js';
import { type LivePage, livePort, openLivePage } from './live-page.js';
import { benchFor } from './open-bench.js';
import { openProbes } from './open-probes.js';
import { presentRun } from './present-run.js';
import { recordRun } from './record-run.js';
import { askUnder, permitFor, signedAnswers } from './use-permit.js';

export interface RunOptions {
  readonly bench: string;
  readonly unit: string;
  readonly claim?: string;
  readonly db: string;
  readonly permit?: string;
  readonly captures?: boolean;
  readonly report?: string;
  /** A port, or any that is free. */
  readonly live?: string | true;
  readonly json?: boolean;
}

/** `ohmest run`: checks everything, asks what must be asked, plays, records, and says what was found. */
export async function run(terminal: Terminal, sequence: string, options: RunOptions): Promise<number> {
  const { setup, plan, claim, unit, port } = readInputs(sequence, options);
  const bench = await benchFor(setup);
  // Nobody should go through the checklist for an interface that is not there.
  await kindOf(setup.kind).checkDevices(setup);
  // A probe that asks for what is not there is refused while there is no database yet.
  await openProbes(setup, bench);
  const place = await storePlace(options.db);
  if (options.captures) requireCapturePlace(options.db);
  const unattended = options.permit !== undefined;
  const { signal, abort, release } = interruption(unattended && !process.stderr.isTTY);
  const operator = unattended ? null : operatorAt(terminal, { signal, abort });
  let page: LivePage | null = null;
  try {
    const permit = unattended
      ? await permitFor({ plan, setup, claim }, options.permit, { db: options.db, ...place })
      : null;
    if (permit)
      terminal.err(`permit ${permit.id}, signed by ${permit.by} at ${permit.signed}: nothing is asked`);
    page = await openLivePage(terminal, port, { abort, db: options.db });
    const answers = operator
      ? await cautions(terminal, operator, plan, setup, signal)
      : signedAnswers(permit!);
    const record = await recordRun({
      store: await place.store(),
      plan,
      setup,
      bench,
      unit,
      claim,
      permit: permit?.id ?? null,
      checklist: answers,
      keepCaptures: options.captures === true,
      ask: operator ? (text) => confirmedOnTheWay(operator, text) : askUnder(plan),
      signal,
      watchers: [...watchersFor(terminal), ...page.watchers],
    });
    await presentRun(terminal, record, options);
    return statusOf(record.outcome === 'running' ? 'fault' : record.outcome);
  } finally {
    operator?.close();
    release();
    await page?.close();
    await place.close();
  }
}

/** Everything that can be wrong before the bench is looked at. @throws InputError listing all of it */
function readInputs(sequence: string, options: RunOptions) {
  const faults = new FaultList();
  const unit = faults.gather(() => unitLabel(options.unit));
  const { report, live, db } = options;
  const port = faults.gather(() => livePort(live));
  if (report !== undefined) faults.gather(() => requireWritable(report, 'page', db));
  return { ...planNamed(sequence, options.bench, faults, options.claim), unit: unit!, port };
}
