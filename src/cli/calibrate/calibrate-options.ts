import type { BenchSetup } from '../../bench/bench-setup.js';
import { parseAccuracy } from '../../calibration/accuracy.js';
import type { Accuracy } from '../../calibrator/accuracy.js';
import { CALIBRATED, type Calibrated, type CalibrationChoice } from '../../calibrator/calibrate.js';
import { nearest } from '../../schema/nearest.js';
import { parseQuantity, quoted } from '../../units/parse.js';
import type { BenchGiven } from '../run/consent.js';
import type { FaultList } from '../terminal/fault-list.js';
import { inOption, OptionWrong } from '../terminal/option.js';
import { frequenciesOf, levelsOf } from './calibrate-lists.js';
import { requireLabel } from './record-place.js';

/** Options of `ohmest calibrate` as they were typed. */
export interface CalibrateOptions extends Pick<BenchGiven, 'benchTyped'> {
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

/** A record takes no other temperature of a room or a load. */
const COLDEST_degC = -50;
const HOTTEST_degC = 500;
/** No meter shows a last digit larger than this, in volts or ohms. */
const COARSEST = 1000;
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
  const ohms = faults.gather(() => ohmsOf(options.load));
  const temperature_C = faults.gather(() => temperatureOf(options.temperature));
  const accuracy = faults.gather(() => accuracyOf(options, what));
  const levels_dB = faults.gather(() => levelsOf(options.level, what));
  const frequencies_Hz = faults.gather(() => frequenciesOf(options.frequency, what, setup?.rate_Hz ?? null));
  const due = faults.gather(() => dueOf(options, setup));
  for (const key of ['by', 'instrument', 'serial'] as const)
    faults.gather(() => requireLabel(options[key], `--${key}`));
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
    what: `${quoted(typed)} cannot be calibrated`,
    mend: `${meant ? `Did you mean '${meant}'? ` : ''}Choose one of ${CALIBRATED.join(', ')}`,
  });
}

function ohmsOf(text: string | undefined): number | null {
  return text === undefined ? null : inOption('--load', () => parseQuantity(text, 'ohm'));
}

function temperatureOf(text: string | undefined): number | null {
  if (text === undefined) return null;
  const temperature_C = inOption('--temperature', () => parseQuantity(text, 'degC'));
  if (temperature_C >= COLDEST_degC && temperature_C <= HOTTEST_degC) return temperature_C;
  throw new OptionWrong({
    what: `--temperature ${quoted(text)} is not the temperature of a room or load`,
    mend: `Temperatures lie from ${COLDEST_degC} °C to ${HOTTEST_degC} °C, as in --temperature '23 °C'`,
  });
}

function accuracyOf({ accuracy, resolution }: CalibrateOptions, what: Calibrated | null): Accuracy | null {
  if (accuracy === undefined && resolution === undefined) return null;
  if (accuracy === undefined)
    throw new OptionWrong({
      what: '--resolution is given without --accuracy',
      mend: "Give both, as in --accuracy '0.5 % + 3 counts' --resolution '1 mV'",
    });
  const spec = inOption('--accuracy', () => parseAccuracy(accuracy));
  if (resolution === undefined && spec.counts > 0)
    throw new OptionWrong({
      what: '--accuracy has counts in it, and --resolution does not say what one count is',
      mend: "Give the last digit of the range, as in --resolution '1 mV'",
    });
  const unit = what === 'load' ? 'ohm' : 'V';
  const step = resolution === undefined ? 0 : inOption('--resolution', () => parseQuantity(resolution, unit));
  if (step < 0 || step > COARSEST || (step === 0 && spec.counts > 0))
    throw new OptionWrong({
      what: `--resolution ${quoted(resolution ?? '')} cannot be the last digit of a meter`,
      mend: `Give the last digit of the range, as in --resolution '${unit === 'V' ? '1 mV' : '0.01 ohm'}'`,
    });
  return { ...spec, resolution: step };
}

function channelsOf(typed: readonly string[] | undefined, setup: BenchSetup): number[] {
  const all = setup.channels.map(({ channel }) => channel);
  if (typed === undefined) return all;
  const wanted = typed.map((text) => (/^\d+$/.test(text) ? Number(text) : Number.NaN));
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
      what: `--due ${quoted(due)} is ${real ? 'not after today' : 'not a day'}`,
      mend: 'Write a day to come as year-month-day, as in 2027-03-01',
    });
  }
  if (months === undefined && setup?.kind === 'simulated') return null;
  const count = months === undefined ? MONTHS : Number(months);
  if (!Number.isInteger(count) || count < 1 || count > 120)
    throw new OptionWrong({
      what: `--months ${quoted(months ?? '')} is not a number of months`,
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

/** Options that change how something is calibrated, and what they can be given for. */
const MEANT_FOR = [
  ['hot', ['load']],
  ['inductance', ['load']],
  ['load', ['load']],
  ['metered', ['input', 'response']],
  ['loopOnly', ['response']],
  ['level', ['output', 'input', 'attenuator', 'floor']],
  ['frequency', ['floor', 'response']],
] as const satisfies (readonly [keyof CalibrateOptions, readonly Calibrated[]])[];

/**
 * An option that would do nothing is a misunderstanding that ends up in a record. The meter's own (--accuracy,
 * --serial ...) are let through everywhere, so that one line serves for every part.
 *
 * @throws OptionWrong
 */
export function requireNoIdleOptions(what: Calibrated, options: CalibrateOptions): void {
  for (const [key, kinds] of MEANT_FOR) {
    if (!options[key] || (kinds as readonly Calibrated[]).includes(what)) continue;
    throw new OptionWrong({
      what: `${flagOf(key)} does nothing when ${articled(what)} is calibrated`,
      mend: `Leave it out: it is for ${kinds.join(', ')}`,
    });
  }
  if (options.metered && options.loopOnly)
    throw new OptionWrong({ what: '--metered and --loop-only contradict each other', mend: 'Leave one out' });
}

const flagOf = (key: string) => `--${key.replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`)}`;
const articled = (what: Calibrated) => (/^[aeiou]/.test(what) ? `an ${what}` : `a ${what}`);
