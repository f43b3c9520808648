import type { BenchSetup } from '../bench/bench-setup.js';
import { parseAccuracy } from '../calibration/accuracy.js';
import type { Accuracy } from '../calibrator/accuracy.js';
import { CALIBRATED, type Calibrated, type CalibrationChoice } from '../calibrator/calibrate.js';
import { InputError } from '../errors/ohmest-error.js';
import { nearest } from '../schema/nearest.js';
import { parseQuantity, quoted } from '../units/parse.js';
import type { Unit } from '../units/quantity.js';
import type { FaultList } from './fault-list.js';

/** Options of `ohmest calibrate` as they were typed. */
export interface CalibrateOptions {
  readonly bench: string;
  readonly channel?: readonly string[];
  readonly load?: string;
  readonly into?: string;
  readonly name?: string;
  readonly by?: string;
  readonly instrument?: string;
  readonly serial?: string;
  readonly accuracy?: string;
  readonly resolution?: string;
  readonly due?: string;
  readonly months?: string;
  readonly temperature?: string;
  readonly hot?: boolean;
  readonly inductance?: boolean;
  readonly metered?: boolean;
  readonly loopOnly?: boolean;
  readonly level?: string;
  readonly frequency?: string;
  readonly json?: boolean;
}

/** What an option says cannot be. */
export class OptionWrong extends InputError {
  readonly code = 'OPTION_WRONG';
}

/** The same, read and checked. */
export interface ReadOptions {
  readonly what: Calibrated;
  readonly choice: CalibrationChoice;
  readonly channels: readonly number[];
  readonly accuracy: Accuracy | null;
  readonly levels_dB: readonly number[] | null;
  readonly frequencies_Hz: readonly number[] | null;
  readonly due: string | null;
}

/** Levels a tone may have: below the rails, above the noise. */
const LOWEST_dB = -80;
const HIGHEST_dB = -0.5;
/** Levels that a straight line is fitted through. */
const LEAST_LEVELS = 3;
/** A year between calibrations: common practice, no source. */
const MONTHS = 12;

/** Reads what can be read without the bench. Faults go into `faults`. */
export function readOptions(
  typed: string,
  options: CalibrateOptions,
  setup: BenchSetup | null,
  faults: FaultList,
): ReadOptions | null {
  const what = faults.gather(() => kindOf(typed));
  const ohms = given(options.load, 'ohm', faults);
  const temperature_C = given(options.temperature, 'degC', faults);
  const accuracy = faults.gather(() => accuracyOf(options, what));
  const levels_dB = faults.gather(() => levelsOf(options.level, what));
  const frequencies_Hz = faults.gather(() => frequenciesOf(options.frequency, setup));
  const due = faults.gather(() => dueOf(options, setup));
  const channels = setup && faults.gather(() => channelsOf(options.channel, setup));
  if (setup && ohms !== null) faults.gather(() => requireLoad(setup, channels ?? [], ohms));
  if (!what || !channels) return null;
  const choice: CalibrationChoice = {
    nominal_ohm: ohms,
    temperature_C,
    hot: options.hot === true,
    inductance: options.inductance === true,
    voltsBy: options.metered ? 'meter' : 'output',
    meteredResponse: options.metered === true,
  };
  return { what, choice, channels, accuracy, levels_dB, frequencies_Hz, due };
}

function kindOf(typed: string): Calibrated {
  const known = CALIBRATED.find((kind) => kind === typed);
  if (known) return known;
  const meant = nearest(typed, CALIBRATED);
  throw new OptionWrong({
    what: `${quoted(typed)} is nothing that can be calibrated`,
    mend: `${meant ? `Did you mean '${meant}'? ` : ''}There are ${CALIBRATED.join(', ')}`,
  });
}

function given(text: string | undefined, unit: Unit, faults: FaultList): number | null {
  return text === undefined ? null : faults.gather(() => parseQuantity(text, unit));
}

function accuracyOf({ accuracy, resolution }: CalibrateOptions, what: Calibrated | null): Accuracy | null {
  if (accuracy === undefined && resolution === undefined) return null;
  if (accuracy === undefined)
    throw new OptionWrong({
      what: '--resolution is given without --accuracy',
      mend: "Give both, as in --accuracy '0.5 % + 3 counts' --resolution '1 mV'",
    });
  const spec = parseAccuracy(accuracy);
  if (resolution === undefined && spec.counts > 0)
    throw new OptionWrong({
      what: '--accuracy has counts in it, and --resolution does not say what one count is',
      mend: "Give the last digit of the range, as in --resolution '1 mV'",
    });
  const unit = what === 'load' ? 'ohm' : 'V';
  const step = resolution === undefined ? 0 : parseQuantity(resolution, unit);
  if (step < 0)
    throw new OptionWrong({
      what: `--resolution ${quoted(resolution ?? '')} is negative`,
      mend: 'Give the last digit',
    });
  return { ...spec, resolution: step };
}

function levelsOf(text: string | undefined, what: Calibrated | null): number[] | null {
  if (text === undefined) return null;
  const parts = text.split(',').map((part) => part.trim());
  const levels = [
    ...new Set(parts.map((part) => parseQuantity(part.endsWith('dB') ? part : `${part} dB`, 'dB') as number)),
  ];
  const wrong = levels.find((level) => level < LOWEST_dB || level > HIGHEST_dB);
  if (wrong !== undefined)
    throw new OptionWrong({
      what: `a level of ${wrong} dB cannot be used`,
      mend: `Levels lie from ${LOWEST_dB} dB to ${HIGHEST_dB} dB relative to full scale, as in --level '-20, -6, -1 dB'`,
    });
  if (what !== 'floor' && levels.length < LEAST_LEVELS)
    throw new OptionWrong({
      what: `${levels.length} level${levels.length === 1 ? ' is' : 's are'} too few to tell whether the chain is linear`,
      mend: `Name ${LEAST_LEVELS} or more, as in --level '-20, -6, -1 dB'`,
    });
  return levels;
}

function frequenciesOf(text: string | undefined, setup: BenchSetup | null): number[] | null {
  if (text === undefined) return null;
  const frequencies = text.split(',').map((part) => parseQuantity(part.trim(), 'Hz') as number);
  const highest_Hz = Math.min(20_000, (setup?.rate_Hz ?? Number.POSITIVE_INFINITY) / 2.2);
  const wrong = frequencies.find((frequency) => frequency < 10 || frequency > highest_Hz);
  if (wrong === undefined) return [...new Set(frequencies)].sort((a, b) => a - b);
  throw new OptionWrong({
    what: `a frequency of ${wrong} Hz cannot be used`,
    mend: `Frequencies lie from 10 Hz to ${Math.floor(highest_Hz)} Hz, as in --frequency '20 Hz, 1 kHz, 20 kHz'`,
  });
}

function channelsOf(typed: readonly string[] | undefined, setup: BenchSetup): number[] {
  const all = setup.channels.map(({ channel }) => channel);
  if (typed === undefined) return all;
  const wanted = typed.map(Number);
  const wrong = typed.find((_, i) => !all.includes(wanted[i]!));
  if (wrong !== undefined)
    throw new OptionWrong({
      what: `the bench has no channel ${quoted(wrong)}`,
      mend: `It has the channels ${all.join(', ')}`,
    });
  return [...new Set(wanted)].sort((a, b) => a - b);
}

function requireLoad(setup: BenchSetup, channels: readonly number[], nominal_ohm: number): void {
  const without = setup.channels.filter(
    (chain) =>
      channels.includes(chain.channel) && !chain.loads.some((load) => load.nominal_ohm === nominal_ohm),
  );
  const first = without[0];
  if (!first) return;
  throw new OptionWrong({
    what: `channel ${first.channel} has no load of ${nominal_ohm} ohm`,
    mend: `The bench file gives it ${first.loads.map((load) => `${load.nominal_ohm} ohm`).join(', ')}`,
  });
}

/** Last day on which a record made today holds. A simulated bench does not age. */
function dueOf({ due, months }: CalibrateOptions, setup: BenchSetup | null): string | null {
  if (due !== undefined && months !== undefined)
    throw new OptionWrong({ what: '--due and --months both say when it is due', mend: 'Leave one out' });
  const today = setup?.day ?? '0000-01-01';
  if (due !== undefined) {
    const real = /^\d{4}-\d{2}-\d{2}$/.test(due) && new Date(`${due}T00:00:00Z`).toJSON()?.startsWith(due);
    if (real && due > today) return due;
    throw new OptionWrong({
      what: `--due ${quoted(due)} is ${real ? 'not after today' : 'no day'}`,
      mend: 'Write a day to come as year-month-day, as in 2027-03-01',
    });
  }
  if (months === undefined && setup?.kind === 'simulated') return null;
  const count = months === undefined ? MONTHS : Number(months);
  if (!Number.isInteger(count) || count < 1 || count > 120)
    throw new OptionWrong({
      what: `--months ${quoted(months ?? '')} is no time to wait`,
      mend: 'Give whole months from 1 to 120',
    });
  return setup && monthsAfter(setup.day, count);
}

/** The same day some months on, or the last of that month where it has no such day. */
export function monthsAfter(day: string, months: number): string {
  const [year, month, date] = day.split('-').map(Number) as [number, number, number];
  const last = new Date(Date.UTC(year, month - 1 + months + 1, 0)).getUTCDate();
  return new Date(Date.UTC(year, month - 1 + months, Math.min(date, last))).toISOString().slice(0, 10);
}
