import { BadQuantity, quoted } from '../units/parse.js';

/** A meter's specification as its data sheet writes it: limits of error. */
export interface MeterAccuracy {
  /** Percent of the reading. */
  readonly percent: number;
  /** Counts of the last digit. */
  readonly counts: number;
}

/** What a good specification looks like, for messages. */
export const ACCURACY_EXAMPLE = "a meter's accuracy such as 0.5 % + 3 counts";

const SHAPE = /^(?:(\d*\.?\d+)\s*%)?\s*(\+)?\s*(?:(\d+)\s*(?:counts?|digits?))?$/;

/**
 * Reads `0.5 % + 3 counts`, `0.5 %` or `3 counts`; the word may be `digits` too.
 *
 * @throws BadQuantity
 */
export function parseAccuracy(text: string): MeterAccuracy {
  const match = SHAPE.exec(
    text
      .replace(/[\u00a0\u2009\u202f]/g, ' ')
      .replace(/^±/, '')
      .trim(),
  );
  const [, percent, plus, counts] = match ?? [];
  const both = percent !== undefined && counts !== undefined;
  const none = percent === undefined && counts === undefined;
  const accuracy = { percent: Number(percent ?? 0), counts: Number(counts ?? 0) };
  const spread = accuracy.percent + accuracy.counts;
  if (none || both !== (plus !== undefined) || !(spread > 0) || accuracy.percent > 100 || spread > 1e6)
    throw new BadQuantity({ what: `expected ${ACCURACY_EXAMPLE}, got ${quoted(text)}` });
  return accuracy;
}

/** Prints an accuracy as it is written. */
export function accuracyText({ percent, counts }: MeterAccuracy): string {
  const parts = [
    percent > 0 ? `${percent} %` : '',
    counts > 0 ? `${counts} count${counts === 1 ? '' : 's'}` : '',
  ];
  return parts.filter((part) => part !== '').join(' + ');
}

/**
 * Half-width of the limits of one reading, in its unit.
 *
 * @param resolution one count, in the unit of the reading
 */
export function accuracyLimit(
  { percent, counts }: MeterAccuracy,
  reading: number,
  resolution: number,
): number {
  return (percent / 100) * Math.abs(reading) + counts * resolution;
}
