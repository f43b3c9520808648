import { blindLengths, slipOf } from './blind-lengths.js';
import { IDEAL } from './capture-spec.js';
import { harmOf } from './harm.js';
import { clickOf, gapOf, glitchOf, type Missed, type Tally, tally } from './tally.js';

function table(head: readonly string[], rows: readonly (readonly string[])[]): string {
  return [head, head.map(() => '---'), ...rows].map((cells) => `| ${cells.join(' | ')} |`).join('\n');
}

const share = ({ found, captures }: Tally) =>
  `${found === captures ? '100' : ((100 * found) / captures).toFixed(2)} % of ${captures}`;
const off = ({ off_frames }: Tally) => (Number.isNaN(off_frames) ? '-' : String(off_frames));

const SIZES = [
  [1, 1],
  [2, 5],
  [6, 46],
  [47, 49],
  [50, 200],
  [201, 1000],
] as const;

/** Shares of the captures asked for that go into one figure of a table. */
const PER_SIZE = 1 / 40;
const PER_CELL = 1 / 200;
/**
 * Gaps of up to 1000 frames that leave less of a slip than this part of a cycle cannot be ruled out for any frequency: by
 * Dirichlet's theorem on approximation (in any textbook on number theory) every real x has a whole g from 1 to 1000 for
 * which g x lies less than 1/1001 from a whole number.
 */
const NEAR_CYCLES = 1 / 1001;

function leavesNextToNothing({ spec, damage }: Missed): boolean {
  const period = spec.tone.frames / spec.tone.cycles;
  return Math.abs(slipOf(damage!.frames, period)) / period < NEAR_CYCLES;
}

/** Gaps at nominal 1 kHz and -20 dBFS or louder, by size: the case that the target speaks of. */
export function gapsAt1kHz(
  captures: number,
  seed: number,
): { text: string; harm: string; missed: readonly Missed[] } {
  const each = Math.ceil(captures * PER_SIZE);
  const fixed = { nominal_Hz: 1000, level_dBFS: [-20, 0] as const };
  const missed: Missed[] = [];
  const near: Missed[] = [];
  const rows = SIZES.map(([least, most], i) => {
    const ideal = tally(each, seed + i, { ...fixed, nature: IDEAL }, gapOf(least, most));
    const natural = tally(each, seed + 100 + i, fixed, gapOf(least, most));
    for (const one of [...ideal.missed, ...natural.missed])
      (leavesNextToNothing(one) ? near : missed).push(one);
    const size = least === most ? `${least}` : `${least} to ${most}`;
    return [size, share(ideal), share(natural), off(natural)];
  });
  const head = [
    'frames lost or doubled',
    'caught, a sine',
    'caught, any unit',
    'told within, frames (median)',
  ];
  return { text: table(head, rows), harm: harmText([...near, ...missed]), missed };
}

/** What the gaps that nobody saw did to the readings, in a sentence. */
export function harmText(all: readonly Missed[]): string {
  if (all.length === 0) return 'None was missed.';
  const { missed, least_thdn_percent, added_percent, level_dB } = harmOf(all);
  const lengths = [...new Set(all.map(({ damage }) => damage!.frames))].sort((a, b) => a - b);
  return (
    `${missed} were missed, of ${lengths.join(', ')} frames, in captures of ${least_thdn_percent.toFixed(4)} % of THD+N or more. They ` +
    `added ${added_percent.toFixed(4)} % to it, by power, and ${level_dB.toExponential(1)} dB to the fundamental, at most.`
  );
}

const FREQUENCIES = [20, 100, 1000, 6000, 20_000];
const LEVELS = [
  [-10, 0],
  [-20, -10],
  [-40, -20],
  [-60, -40],
] as const;

/** Gaps of 1 to 1000 frames, by frequency and level. */
export function gapsByTone(captures: number, seed: number): string {
  const each = Math.ceil(captures * PER_CELL);
  const rows = FREQUENCIES.map((nominal_Hz, i) => [
    `${nominal_Hz} Hz`,
    ...LEVELS.map((level_dBFS, j) =>
      share(tally(each, seed + 10 * i + j, { nominal_Hz, level_dBFS }, gapOf(1, 1000))),
    ),
  ]);
  return table(['tone', ...LEVELS.map(([low, high]) => `${low} to ${high} dBFS`)], rows);
}

/** Clicks and glitches of the level at -20 dBFS or louder, by size. */
export function glitches(captures: number, seed: number): string {
  const sorts = [
    ...[0, -20, -40, -60].map((dB) => [`click of 1 to 4 frames, ${dB} dB of the tone`, clickOf(dB)] as const),
    ...[6, 1, 0.1].map((dB) => [`level ${dB} dB off for 1 to 1000 frames`, glitchOf(dB, false)] as const),
    ...[6, 1, 0.1].map((dB) => [`level ${dB} dB off from there on`, glitchOf(dB, true)] as const),
  ];
  const each = Math.ceil(captures * PER_CELL);
  const fixed = { nominal_Hz: 1000, level_dBFS: [-20, 0] as const };
  const rows = sorts.map(([name, draw], i) => {
    const ideal = tally(each, seed + i, { ...fixed, nature: IDEAL }, draw);
    return [name, share(ideal), share(tally(each, seed + 50 + i, fixed, draw))];
  });
  return table(['damage', 'caught, a sine', 'caught, any unit'], rows);
}

/** Which gaps leave next to nothing: below a twentieth of a frame of slip. */
export function blindTable(): string {
  const most = 0.05;
  const rows = [48_000, 96_000, 192_000].flatMap((rate_Hz) =>
    FREQUENCIES.map((nominal_Hz) => {
      const { period, least } = blindLengths(nominal_Hz, rate_Hz, most);
      const named = least.slice(0, 3).map(({ frames, slip }) => `${frames} (${slip.toExponential(1)})`);
      return [
        `${nominal_Hz} Hz`,
        `${rate_Hz / 1000} kHz`,
        period.toFixed(4),
        String(least.length),
        named.join(', '),
      ];
    }),
  );
  const head = [
    'tone',
    'rate',
    'frames a cycle',
    `lengths up to 1000 within ${most} of whole cycles`,
    'nearest (slip left)',
  ];
  return table(head, rows);
}
