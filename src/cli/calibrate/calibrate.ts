import type { BenchSetup } from '../../bench/bench-setup.js';
import { HeldBench } from '../../bench/held-bench.js';
import { calibrate as calibrateOn } from '../../calibrator/calibrate.js';
import { draftOf } from '../../calibrator/draft-of.js';
import type { CalibrationFinding } from '../../calibrator/finding.js';
import { keepRecord } from '../../calibrator/keep-records.js';
import { formatDuration } from '../../units/format.js';
import { consentTo } from '../run/consent.js';
import { interruption } from '../run/interruption.js';
import { operatorAt } from '../terminal/ask.js';
import { FaultList } from '../terminal/fault-list.js';
import { ProgressLine } from '../terminal/progress-line.js';
import { benchNamed } from '../terminal/read-input.js';
import { shown } from '../terminal/shown-path.js';
import type { Terminal } from '../terminal/terminal.js';
import { makeUserFolder } from '../terminal/write-output.js';
import {
  type CalibrateOptions,
  type ReadOptions,
  readOptions,
  requireNoIdleOptions,
} from './calibrate-options.js';
import { type CalibrateSession, type SessionParts, sessionOf } from './calibrate-session.js';
import { benchLine, findingDocument, findingText, type Written } from './findings-text.js';
import { recordPlace, requireFamilyName, requirePlace } from './record-place.js';

/**
 * `ohmest calibrate`: takes a person, or a simulated bench's own meter, through one calibration and writes its records.
 * Bench files and earlier records are never touched.
 */
export async function calibrate(
  terminal: Terminal,
  typed: string,
  options: CalibrateOptions,
): Promise<number> {
  const inputs = readInputs(typed, options);
  makeUserFolder(inputs.folder);
  const { signal, abort, release } = interruption();
  const operator = operatorAt(terminal, { signal, abort }, inputs.setup);
  let held: HeldBench | null = null;
  try {
    // A load is read with a meter alone: the interface may be in other use.
    held = await HeldBench.take(
      await consentTo(terminal, inputs.setup, options),
      'ohmest calibrate',
      inputs.read.what !== 'load',
    );
    if (held.gap !== null) terminal.err(`note: ${held.gap}`);
    const parts = { ...inputs, options, signal, bench: held.bench };
    const session = await sessionOf(terminal, operator, parts);
    const found = await carryOut(terminal, session, parts);
    const written = found.map((one) => writeRecord(one, session, parts));
    session.journal?.discard();
    present(terminal, written, options);
    return 0;
  } finally {
    operator.close();
    release();
    await held?.release();
  }
}

/** All that can be wrong before the bench is looked at. @throws InputError listing it */
function readInputs(
  typed: string,
  options: CalibrateOptions,
): Pick<SessionParts, 'setup' | 'read' | 'folder'> {
  const faults = new FaultList();
  const setup = faults.gather(() => benchNamed(options.bench));
  const read = readOptions(typed, options, setup, faults);
  if (read) faults.gather(() => requireNoIdleOptions(read.what, options));
  faults.gather(() => requireFamilyName(options.name));
  if (setup) faults.gather(() => requirePlace(setup, options.into));
  faults.throwIfAny();
  const { what, channels, choice } = read!;
  const first = {
    kind: what,
    channel: what === 'floor' ? null : channels[0]!,
    nominal_ohm: what === 'load' ? (choice.nominal_ohm ?? firstLoad(setup!, channels[0]!)) : null,
  };
  return { setup: setup!, read: read!, folder: recordPlace(setup!, first, options).folder };
}

function firstLoad(setup: BenchSetup, channel: number): number | null {
  return setup.channels.find((chain) => chain.channel === channel)?.loads[0]?.nominal_ohm ?? null;
}

/** Opens the bench, calibrates, and lets go of the bench whatever happens. */
async function carryOut(
  terminal: Terminal,
  { bench, meter, accuracy }: CalibrateSession,
  { setup, read, signal }: SessionParts,
): Promise<CalibrationFinding[]> {
  const line = new ProgressLine(terminal);
  try {
    // A load is read with a meter alone: the interface may be in other use.
    if (read.what !== 'load' || bench.kind === 'simulated') await bench.open();
    return await calibrateOn(
      read.what,
      {
        bench,
        setup,
        meter,
        accuracy,
        channels: read.channels,
        levels_dB: read.levels_dB,
        frequencies_Hz: read.frequencies_Hz,
        signal,
        tell: (text) => line.say(text),
        progress: ({ done, left_s, text }) =>
          line.draw(() => `${Math.floor(100 * done)} %  ${formatDuration(left_s)} left  ${text}`),
      },
      read.choice,
    );
  } finally {
    line.clear();
    await bench.close();
  }
}

function writeRecord(
  found: CalibrationFinding,
  session: CalibrateSession,
  { setup, read, options }: SessionParts,
): Written {
  const name = options.name === undefined ? undefined : `${options.name}${endingOf(found, setup, read)}`;
  const place = recordPlace(setup, found, { into: options.into, name });
  makeUserFolder(place.folder);
  const draft = draftOf(found, {
    date: setup.day,
    due: read.due,
    instrument: session.instrument,
    serial: options.serial ?? null,
    by: session.by,
    temperature_C: read.choice.temperature_C,
    bench: setup.name,
  });
  return { found, place, path: keepRecord(place.folder, place.family, draft) };
}

/** What tells the records of one command apart that the user gave one name. */
function endingOf(
  { channel, nominal_ohm }: CalibrationFinding,
  setup: BenchSetup,
  { channels, choice }: ReadOptions,
): string {
  const loads = setup.channels.find((chain) => chain.channel === channel)?.loads ?? [];
  const several = nominal_ohm !== null && choice.nominal_ohm === null && loads.length > 1;
  return `${several ? `-${nominal_ohm}` : ''}${channel !== null && channels.length > 1 ? `-${channel}` : ''}`;
}

/** What was found, where it was written, and what the bench file still needs. */
function present(terminal: Terminal, written: readonly Written[], { bench, json }: CalibrateOptions): void {
  if (json) {
    terminal.out(JSON.stringify({ calibrated: written.map(findingDocument) }, null, 2));
    return;
  }
  for (const { found, path } of written) {
    terminal.out(findingText(found));
    terminal.out(`  written to ${shown(path)}`);
  }
  const lines = written.map(({ found, place }) => benchLine(found, place)).filter((line) => line !== null);
  if (lines.length > 0)
    terminal.out(
      `\n${bench} does not name ${lines.length > 1 ? 'these' : 'this'} yet. Add:\n${lines.map((line) => `  ${line}`).join('\n')}`,
    );
  const astray = written.find(({ place }) => !place.found);
  if (astray)
    terminal.out(
      `\nA bench file finds records in a folder 'calibration' beside it, and not in ${shown(astray.place.folder)}: move them there to use them.`,
    );
}
