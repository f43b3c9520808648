import { join } from 'node:path';
import type { Bench } from '../../bench/bench.js';
import type { BenchSetup } from '../../bench/bench-setup.js';
import type { Accuracy } from '../../calibrator/accuracy.js';
import { usesMeter } from '../../calibrator/calibrate.js';
import { CalibrationBrokenOff, NothingToCompareWith } from '../../calibrator/calibration-errors.js';
import { Journal } from '../../calibrator/journal.js';
import type { Meter } from '../../calibrator/meter.js';
import { simulatedReadings } from '../../calibrator/simulated-readings.js';
import type { Operator } from '../terminal/ask.js';
import { nameOf, requireName } from '../terminal/ask.js';
import type { Terminal } from '../terminal/terminal.js';
import type { CalibrateOptions, ReadOptions } from './calibrate-options.js';
import { personMeter } from './person-meter.js';
import { requireLabel } from './record-place.js';

/** Who does and reads what at the bench, and what is kept of it. */
export interface CalibrateSession {
  readonly bench: Bench;
  readonly meter: Meter;
  readonly accuracy: Accuracy | null;
  /** Name of the meter, for the record. */
  readonly instrument: string | null;
  /** Name of the person, for the record. */
  readonly by: string | null;
  /** What was typed, until the records are written; null where nothing is typed. */
  readonly journal: Journal | null;
}

/** What a session is made from. */
export interface SessionParts {
  readonly setup: BenchSetup;
  readonly bench: Bench;
  readonly read: ReadOptions;
  readonly options: CalibrateOptions;
  readonly folder: string;
  readonly signal: AbortSignal;
}

/** What the simulated bench's own meter is good for: a bench multimeter. Invented. */
const SIMULATED_METER = { percent: 0.1, counts: 2 };
const SIMULATED_RESOLUTION = { volts: 0.0001, ohms: 0.001 };

/** Gets ready: asks for a name and whether to go on with earlier readings. Nothing is played yet. */
export async function sessionOf(
  terminal: Terminal,
  operator: Operator,
  parts: SessionParts,
): Promise<CalibrateSession> {
  return parts.setup.kind === 'simulated'
    ? simulatedSession(terminal, parts)
    : personSession(terminal, operator, parts);
}

async function simulatedSession(
  terminal: Terminal,
  { setup, read, options }: SessionParts,
): Promise<CalibrateSession> {
  const { openSimulated } = await import('../../bench/simulated/open-simulated.js');
  const { SimulatedMeter } = await import('../../bench/simulated/simulated-meter.js');
  const bench = openSimulated(setup);
  const resolution = read.what === 'load' ? SIMULATED_RESOLUTION.ohms : SIMULATED_RESOLUTION.volts;
  const accuracy = read.accuracy ?? { ...SIMULATED_METER, resolution };
  const instruments = new SimulatedMeter(bench, accuracy, seedOf(setup));
  return {
    bench,
    meter: simulatedReadings(instruments, (text) => terminal.err(text)),
    accuracy,
    instrument: options.instrument ?? (usesMeter(read.what, read.choice) ? 'simulated meter' : null),
    by: options.by ?? null,
    journal: null,
  };
}

/** The same bench has the same meter. */
function seedOf({ interface: link }: BenchSetup): number {
  return link.kind === 'simulated' ? link.seed : 1;
}

async function personSession(
  terminal: Terminal,
  operator: Operator,
  { setup, bench, read, options, folder, signal }: SessionParts,
): Promise<CalibrateSession> {
  if (usesMeter(read.what, read.choice) && !read.accuracy)
    throw new NothingToCompareWith({
      what: 'the accuracy of the meter is not stated, so the result would have no uncertainty',
      mend: "Give the data sheet figure for this range, as in --accuracy '0.5 % + 3 counts' --resolution '1 mV'",
    });
  const by = options.by === undefined ? await nameOf(operator, signal) : requireName(options.by);
  if (by === null) throw new CalibrationBrokenOff();
  requireLabel(by, 'the name');
  const journal = new Journal(join(folder, journalName(read)), subjectOf(setup, read));
  await offerResumption(terminal, operator, journal, signal);
  const person = personMeter(terminal, operator, signal);
  return {
    bench,
    meter: journal.keep(person, (text) => terminal.err(text)),
    accuracy: read.accuracy,
    instrument: options.instrument ?? null,
    by,
    journal,
  };
}

/** Asks whether the readings of a session that was cut short still count. */
async function offerResumption(
  terminal: Terminal,
  operator: Operator,
  journal: Journal,
  signal: AbortSignal,
): Promise<void> {
  const { found } = journal;
  if (!found) return;
  const readings = found.answers === 1 ? '1 reading was' : `${found.answers} readings were`;
  const when = `${found.last.toLocaleDateString('sv')} ${found.last.toLocaleTimeString('sv')}`;
  if (found.state === 'old') {
    terminal.err(`${readings} typed up to ${when}, more than a day ago: they will be requested again.`);
    return;
  }
  if (found.state === 'other') {
    terminal.err(
      `${readings} typed up to ${when} for another state of the bench file or with other options: they will be requested again.`,
    );
    return;
  }
  const goOn = await operator.confirm({
    about: 'calibration',
    text: `${readings} typed up to ${when} and no record written. Continue with them?`,
  });
  if (signal.aborted) throw new CalibrationBrokenOff();
  if (!goOn) journal.discard();
}

function journalName({ what, channels, choice }: ReadOptions): string {
  const load = what === 'load' && choice.nominal_ohm !== null ? [`${choice.nominal_ohm}`] : [];
  return `unfinished-${[what, ...load, ...(what === 'floor' ? [] : channels)].join('-')}.jsonl`;
}

/** All that must be the same for answers to count. */
function subjectOf(
  setup: BenchSetup,
  { what, channels, choice, levels_dB, frequencies_Hz }: ReadOptions,
): string {
  return JSON.stringify({ bench: setup.sha256, what, channels, choice, levels_dB, frequencies_Hz });
}
