import type { KneeResult, PowerAtThdn } from '../../record/old-results.js';
import type { RunRecord } from '../../record/run-record.js';
import { formatQuantity } from '../../units/format.js';
import type { Unit } from '../../units/quantity.js';
import { UNIT_RULES } from '../../units/unit-rules.js';

/** A value the way the trade writes it, or a dash when there is none. */
export const amount = (value: number | null, unit: Unit): string =>
  value === null ? '–' : formatQuantity(value, unit);

/** A power with its uncertainty: `101.2 W ± 0.8 W`, or just the power when none is stated. */
export function powerWithin(power_W: number, uncertainty_W: number | null): string {
  const power = formatQuantity(power_W, 'W');
  return uncertainty_W === null ? power : `${power} ± ${uncertaintyBeside(power, uncertainty_W)}`;
}

/** An uncertainty to two figures, in the unit of the power that it stands beside. */
export function uncertaintyBeside(power: string, uncertainty_W: number): string {
  const scale = UNIT_RULES.W.printed.find(({ symbol }) => power.endsWith(` ${symbol}`));
  return scale === undefined
    ? formatQuantity(uncertainty_W, 'W', { figures: 2, trim: false })
    : `${formatQuantity(uncertainty_W / scale.factor, '1', { figures: 2, trim: false })} ${scale.symbol}`;
}

/** What a reader is told about the uncertainty of a set of powers. */
export function uncertaintyWords(powers: readonly Pick<PowerAtThdn, 'uncertainty_W' | 'budgets'>[]): string {
  const stated = powers.filter(({ uncertainty_W }) => uncertainty_W !== null);
  if (stated.length === 0) return 'no uncertainty stated';
  const words = `U with ${factorWords(stated.map(powerFactor))}`;
  return stated.length === powers.length ? words : `${words} where given; no uncertainty stated elsewhere`;
}

/** A result's uncertainty, to be told with those of powers; nothing where it states none. */
export function statedOnly({ uncertainty_W, budgets = [] }: Pick<KneeResult, 'uncertainty_W' | 'budgets'>) {
  return uncertainty_W == null ? [] : [{ uncertainty_W, budgets }];
}

/** Coverage factor of a result's power; 2 for runs made before budgets were kept. */
export function powerFactor({ budgets }: Pick<PowerAtThdn, 'budgets'>): number {
  return budgets?.find(({ quantity }) => quantity === 'power')?.coverage_factor ?? 2;
}

/** `k = 2`, `k = 2.13`, `k = 2 to 2.13`. */
export function factorWords(factors: readonly number[]): string {
  const [least, most] = [Math.min(...factors), Math.max(...factors)].map((factor) =>
    formatQuantity(factor, '1', { figures: 3, trim: true }),
  );
  return least === most ? `k = ${least}` : `k = ${least} to ${most}`;
}

/** `channel 2`, `channels 1 and 2`, `channels 1 to 7`, `channels 1, 2 and 5`. */
export function channelWords(channels: readonly number[]): string {
  if (channels.length === 1) return `channel ${channels[0]}`;
  return `channels ${numberList(channels)}`;
}

function numberList(numbers: readonly number[]): string {
  const run = numbers.length > 2 && numbers.every((n, i) => i === 0 || n === numbers[i - 1]! + 1);
  if (run) return `${numbers[0]} to ${numbers.at(-1)}`;
  return `${numbers.slice(0, -1).join(', ')} and ${numbers.at(-1)}`;
}

/** Which channels carried the signal: `channel 1 driven`, `channels 1 and 2 driven`. */
export const drivenWords = (driven: readonly number[]): string => `${channelWords(driven)} driven`;

/** `1 kHz, 8 ohm, channels 1 and 2 driven`: the setting that a set of figures belongs to. */
export function settingWords(load_ohm: number, driven: readonly number[], frequency_Hz?: number): string {
  const at = frequency_Hz === undefined ? '' : `${formatQuantity(frequency_Hz, 'Hz')}, `;
  return `${at}${formatQuantity(load_ohm, 'ohm')}, ${drivenWords(driven)}`;
}

/** `230 V mains`, or that nobody set it. */
export const mainsWords = (mains_V: number | null): string =>
  mains_V === null ? 'mains as it came' : `${formatQuantity(mains_V, 'V', { figures: 3, trim: true })} mains`;

const OUTCOMES: Readonly<Record<RunRecord['outcome'], string>> = {
  completed: 'Completed',
  stopped: 'Stopped by the operator before its end',
  tripped: 'Ended by a safety limit',
  fault: 'Ended by a fault of the bench',
  interrupted: 'Interrupted before its end',
  running: 'Still running when this was written',
};

/** How a run ended, in words: `Interrupted before its end: the operator pressed Ctrl-C`. */
export function outcomeWords({ outcome, reason }: Pick<RunRecord, 'outcome' | 'reason'>): string {
  return reason === '' || outcome === 'completed' ? OUTCOMES[outcome] : `${OUTCOMES[outcome]}: ${reason}`;
}

/** `2031-03-04 10:22:31 UTC` from ISO 8601 text; other text is passed on as it is. */
export const timeWords = (time: string): string =>
  time.replace(/^(\d{4}-\d\d-\d\d)T(\d\d:\d\d:\d\d)(\.\d+)?Z$/, '$1 $2 UTC');
