import { join, resolve } from 'node:path';
import { HeldBench } from '../../bench/held-bench.js';
import { ProgramConsent } from '../../bench/program-consent.js';
import { htmlReport } from '../../document/html/html-report.js';
import { showDocument } from '../../document/json/show-document.js';
import { wrapText } from '../../document/text/wrap-text.js';
import { openingOf } from '../../judgement/conclude/conclusions-of.js';
import { judgeRun } from '../../judgement/judged-run.js';
import { openStore } from '../../store/sqlite/sqlite-store.js';
import { formatDuration } from '../../units/format.js';
import { visibleName } from '../../units/visible-text.js';
import { floorOfRun } from '../look/floor-of-run.js';
import { statusOf } from '../terminal/fail.js';
import { watchersFor } from '../terminal/live-view.js';
import { planNamed } from '../terminal/read-input.js';
import { shown } from '../terminal/shown-path.js';
import type { Terminal } from '../terminal/terminal.js';
import { makeUserFolder, requireWritable, writeUserText } from '../terminal/write-output.js';
import { interruption } from './interruption.js';
import { recordRun } from './record-run.js';

/** What the demo plays: a bench that ships and what its invented unit is called. */
const SHOWN = {
  sequence: 'rated-power',
  bench: 'stiff-pair',
  unit: 'Invented two-channel amplifier',
} as const;

/** `ohmest demo`: the whole job on the simulated bench, from sequence file to report. */
export async function demo(
  terminal: Terminal,
  options: { readonly out: string; readonly json?: boolean },
): Promise<number> {
  const begun_ms = performance.now();
  makeUserFolder(options.out);
  const page = join(options.out, 'report.html');
  requireWritable(page, 'page');
  const { setup, plan } = planNamed(SHOWN.sequence, SHOWN.bench);
  terminal.err(
    wrapText(
      'A simulated bench with an invented amplifier: nothing is played aloud, nothing gets hot.',
      terminal.talkWidth,
    ),
  );
  terminal.err(
    `${plan.name}: about ${plan.estimate.points} points, ${formatDuration(plan.estimate.seconds)} on a real bench.`,
  );
  const held = await HeldBench.take(ProgramConsent.byName(setup), 'ohmest demo');
  const store = await openStore(join(options.out, 'ohmest.db'), { mode: 'create' });
  const { signal, release } = interruption();
  try {
    const record = await recordRun({
      store,
      plan,
      held,
      unit: SHOWN.unit,
      checklist: [],
      keepCaptures: false,
      ask: async () => true,
      signal,
      watchers: watchersFor(terminal),
    });
    await writeUserText(page, htmlReport(record, null, floorOfRun(record)), 'page');
    if (options.json) {
      terminal.out(JSON.stringify({ ...showDocument(record), database: store.place, report: page }, null, 2));
    } else {
      terminal.out(wrapText(openingOf(judgeRun(record).conclusions), terminal.width));
      const database = visibleName(shown(store.place));
      terminal.out(`\ndatabase  ${database}\nreport    ${visibleName(shown(resolve(page)))}`);
      terminal.out(`details   npx ohmest show ${record.run} --db ${database}`);
      terminal.err(
        `\n${formatDuration(record.events.at(-1)?.at_s ?? 0)} of bench time in ${formatDuration((performance.now() - begun_ms) / 1000)}.`,
      );
    }
    return statusOf(record.outcome === 'running' ? 'fault' : record.outcome);
  } finally {
    release();
    await store.close();
    await held.release();
  }
}
