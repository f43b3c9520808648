import { HeldBench } from '../../bench/held-bench.js';
import { kindOf } from '../../bench/kinds.js';
import { unitLabel } from '../../record/unit-label.js';
import { requireCapturePlace } from '../../store/sqlite/require-store-place.js';
import { storePlace } from '../look/store-place.js';
import { FaultList } from '../terminal/fault-list.js';
import { planNamed } from '../terminal/read-input.js';
import type { Terminal } from '../terminal/terminal.js';
import { requireWritable } from '../terminal/write-output.js';
import { cautions } from './cautions.js';
import { consentTo } from './consent.js';
import { holdSession, type SessionOptions } from './hold-session.js';
import { livePort } from './live-page.js';
import { openSensors } from './open-sensors.js';

export interface RunOptions extends SessionOptions {
  readonly bench: string;
  readonly unit: string;
  readonly claim?: string;
  readonly captures?: boolean;
}

/** `ohmest run`: checks everything, asks what must be asked, plays, records, and says what was found. */
export async function run(terminal: Terminal, sequence: string, options: RunOptions): Promise<number> {
  const { setup, plan, claim, unit, port } = readInputs(sequence, options);
  // Nobody should go through the checklist for an interface that is not there, or that somebody else plays on.
  await kindOf(setup.kind).checkDevices(setup);
  const held = await HeldBench.take(await consentTo(terminal, setup, options), 'ohmest run');
  try {
    // A sensor that asks for what is not there is refused while there is no database yet.
    await openSensors(held);
    return await runOn(terminal, held, { plan, claim, unit, port }, options);
  } finally {
    await held.release();
  }
}

async function runOn(
  terminal: Terminal,
  held: HeldBench,
  { plan, claim, unit, port }: Omit<ReturnType<typeof readInputs>, 'setup'>,
  options: RunOptions,
): Promise<number> {
  const { setup } = held;
  const place = await storePlace(options.db);
  try {
    if (options.captures) requireCapturePlace(options.db);
    return await holdSession(terminal, {
      recording: { plan, held, unit, claim, keepCaptures: options.captures === true },
      options,
      store: () => place.store(),
      port,
      answers: (operator, signal) => cautions(terminal, operator, plan, setup, signal),
      announce: (permit) => {
        if (permit)
          terminal.err(`permit ${permit.id}, signed by ${permit.by} at ${permit.signed}: nothing is asked`);
      },
    });
  } finally {
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
