import type { FoundPower } from '../../record/found-power.js';
import { formatQuantity } from '../../units/format.js';

/** What one run found, in as many words as a table has room for. */
export interface ShortFigure {
  readonly power_W: number;
  readonly words: string;
}

/**
 * The figure that stands for a run in a list: the lowest maximum power over the band where several frequencies were
 * searched at one limit, else that at the strictest limit that every channel has reached, or that any has; of several
 * settings the one with most channels driven, then the first. The weakest channel counts, as everywhere. Null when nothing
 * was found.
 */
export function shortFigure(powers: readonly FoundPower[]): ShortFigure | null {
  const found = powers.filter((power): power is Met => power.power_W !== null);
  const overBand = found.filter((power) => isOverBand(power, found));
  const rivals = overBand.length > 0 ? overBand : atStrictestThreshold(powers);
  const most = Math.max(...rivals.map(({ driven }) => driven));
  const chosen = rivals.find(({ driven }) => driven === most);
  if (!chosen) return null;
  const setting = rivals.filter((power) => sameSetting(power, chosen));
  const power_W = Math.min(...setting.map((power) => power.power_W));
  const { threshold_percent, load_ohm } = chosen;
  const at = `at ${formatQuantity(threshold_percent, '%', { figures: 2, trim: true })}`;
  const into = `into ${formatQuantity(load_ohm, 'ohm', { figures: 3, trim: true })}`;
  return { power_W, words: `${at} ${into}, ${frequencyWords(setting)}, ${drivenWords(most)}` };
}

type Met = FoundPower & { readonly power_W: number };

function atStrictestThreshold(powers: readonly FoundPower[]): Met[] {
  const thresholds = [...new Set(powers.map(({ threshold_percent }) => threshold_percent))].sort(
    (a, b) => a - b,
  );
  const at = (percent: number) => powers.filter(({ threshold_percent }) => threshold_percent === percent);
  const met = (percent: number) => at(percent).filter((power): power is Met => power.power_W !== null);
  const reached = thresholds.filter((percent) => met(percent).length > 0);
  const byAll = reached.find((percent) => met(percent).length === at(percent).length);
  return met(byAll ?? reached[0]!);
}

const isOverBand = (power: Met, found: readonly Met[]): boolean =>
  found.some((other) => sameSetting(other, power) && other.frequency_Hz !== power.frequency_Hz);

const sameSetting = (a: FoundPower, b: FoundPower): boolean =>
  a.driven === b.driven && a.load_ohm === b.load_ohm && a.threshold_percent === b.threshold_percent;

function frequencyWords(powers: readonly FoundPower[]): string {
  const all = powers.map(({ frequency_Hz }) => frequency_Hz);
  const [low, high] = [Math.min(...all), Math.max(...all)].map((hertz) =>
    formatQuantity(hertz, 'Hz', { figures: 3, trim: true }),
  );
  return low === high ? low! : `${low} to ${high}`;
}

const drivenWords = (count: number): string => (count === 1 ? '1 channel' : `${count} channels`);
