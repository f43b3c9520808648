import type { z } from 'zod';
import { readerField } from '../schema/fields.js';
import { formatQuantity } from '../units/format.js';
import { BadQuantity, parseQuantity, quoted } from '../units/parse.js';
import { aboveZero, parseAmount } from './written-fields.js';

/** What a step is to be held at, or where a search begins. */
export type Level =
  | { readonly kind: 'power'; readonly power_W: number }
  | { readonly kind: 'voltage'; readonly voltage_V: number }
  /** A share of the power that an earlier climb found at one of its marks, channel by channel. */
  | { readonly kind: 'mark'; readonly climb: string; readonly percent: number; readonly share: number };

/** The same level, with the climb under the id that it has in one pass of the taps. */
export const levelInPass = <L extends Level | null>(level: L, suffix: string): L =>
  level?.kind === 'mark' ? { ...level, climb: level.climb + suffix } : level;

/** `50.0 W`, `1/8 of the 0.1 % power of climb-1k`. */
export function levelWords(level: Level): string {
  if (level.kind === 'power') return formatQuantity(level.power_W, 'W');
  if (level.kind === 'voltage') return formatQuantity(level.voltage_V, 'V');
  const share = level.share === 1 ? '' : `${shareWords(level.share)} of `;
  return `${share}the ${formatQuantity(level.percent, '%')} power of ${level.climb}`;
}

/** `1/8` where it was written so. */
function shareWords(share: number): string {
  const parts = Math.round(1 / share);
  return Math.abs(parts * share - 1) < 1e-9 ? `1/${parts}` : String(share);
}

/** A level as written. A share of the claim becomes a power when the claim is known. */
export type WrittenLevel = Level | { readonly kind: 'claim'; readonly share: number };

/** `1/8 of` in front, if any, and what it is a share of. */
const SHARE_OF = /^(\S+(?: %)?)\s+of\s+(claim|.*\s+of\s+.*)$/;
/** `0.1 % of climb-1k`, or of one cell of a repetition: `0.1 % of climb-1k/4ohm/all`. */
const MARK = /^(\S.*?)\s+of\s+([A-Za-z0-9][\w.-]*(?:\/[\w.+-]+)*)$/;

const EXAMPLES = "50 W, 2.83 V, '0.1 % of climb-1k', '1/8 of 0.1 % of climb-1k', 'claim' or '1/8 of claim'";

function shareFrom(text: string | undefined): number {
  if (text === undefined) return 1;
  const share = parseQuantity(text, '1');
  if (share > 0 && share <= 1) return share;
  throw new BadQuantity({ what: `expected a share above 0 and up to 1, got ${quoted(text)}` });
}

function parseLevel(written: string): WrittenLevel {
  const text = written.trim();
  const match = SHARE_OF.exec(text);
  const whole = match?.[2] ?? text;
  if (whole === 'claim') return { kind: 'claim', share: shareFrom(match?.[1]) };
  const mark = MARK.exec(whole);
  if (mark) {
    const percent = aboveZero(parseQuantity(mark[1]!, '%'), mark[1]!);
    return { kind: 'mark', climb: mark[2]!, percent, share: shareFrom(match?.[1]) };
  }
  if (/V$/.test(text)) return { kind: 'voltage', voltage_V: parseAmount(text, 'V') };
  if (/W$/.test(text)) return { kind: 'power', power_W: parseAmount(text, 'W') };
  throw new BadQuantity({ what: `expected a level such as ${EXAMPLES}, got ${quoted(written)}` });
}

/** A power, a voltage, a share of what a climb found at one of its marks, or a share of the claim. */
export const levelField: z.ZodType<WrittenLevel> = readerField(
  parseLevel,
  "a level such as 50 W, 2.83 V, '0.1 % of climb-1k' or '1/8 of claim'",
  'give the unit',
);
