import { escapeHtml } from '../html/markup.js';
import { type LaidAxis, layAxis, type NamedTick, namedTicks, tickNumber } from './axis.js';
import { inkOf } from './palette.js';
import type { Box } from './place-labels.js';
import { type Plot, px } from './plot.js';

const FONT = 12;
/** Mean width of a character in the page's letters, pixels; generous, so that numbers never touch. */
const CHARACTER = 7;
const GAP = 6;

/** Hairlines, numbers and names of the axes, and at the right the decibels of an axis that holds its powers closely. */
export function drawAxes(plot: Plot): string {
  const { left, right, top, bottom, x, y, across, up } = plot;
  // Half pixels: a hairline then covers one row of pixels and not two.
  const sharp = (value: number) => Math.round(value) + 0.5;
  const upright = across.ticks.map(({ at }) => `M${sharp(x(at))},${px(top)}V${px(bottom)}`);
  const level = up.ticks.map(({ at }) => `M${px(left)},${sharp(y(at))}H${px(right)}`);
  const numbers = (axis: LaidAxis) => (value: number) => tickNumber(value, axis.unit);
  const wide = (name: string) => name.length * CHARACTER + GAP;
  return [
    `<path d="${[...upright, ...level].join('')}" fill="none" stroke="${inkOf('grid')}"/>`,
    `<path d="M${px(left)},${sharp(bottom)}H${px(right)}" fill="none" stroke="${inkOf('soft')}"/>`,
    `<g font-size="${FONT}" fill="${inkOf('soft')}">`,
    ...namedTicks(across, numbers(across), x, wide).map((tick) => belowAxis(tick, plot)),
    ...namedTicks(up, numbers(up), y, () => FONT + GAP).map(({ at, name }) =>
      text(left - 7, y(at), name, 'text-anchor="end" dy=".35em"'),
    ),
    ...decibels(plot),
    text((left + right) / 2, bottom + 37, across.name, 'text-anchor="middle"'),
    text(2, top - 14, up.name, ''),
    '</g>',
  ].join('');
}

/** Where the names of the upward axis stand: no label goes there. */
export const namesAbove = ({ top, right, up }: Plot): Box[] => [
  { left: 0, right: 2 + up.name.length * CHARACTER, top: top - 24, bottom: top - 4 },
  ...(up.zero_dB === null ? [] : [{ left: right, right: right + 50, top: top - 24, bottom: top - 4 }]),
];

/** A long name at the end of the axis keeps within the drawing. */
function belowAxis({ at, name }: NamedTick, { x, bottom, width }: Plot): string {
  const half = (name.length * CHARACTER) / 2;
  return text(Math.min(x(at), width - half - 2), bottom + 17, name, 'text-anchor="middle"');
}

function decibels({ right, top, y, up }: Plot): string[] {
  const { zero_dB, low, high } = up;
  if (zero_dB === null || low <= 0) return [];
  const ends = [low, high].map((power) => 10 * Math.log10(power / zero_dB));
  const scale = layAxis({ name: 'dB', unit: 'dB', scale: 'linear', ends: 'close' }, ends);
  const place = (level_dB: number) => y(zero_dB * 10 ** (level_dB / 10));
  const ticks = namedTicks(
    scale,
    (value) => tickNumber(value, '1'),
    place,
    () => FONT + GAP,
  );
  return [
    ...ticks.map(({ at, name }) => text(right + 7, place(at), name, 'dy=".35em"')),
    text(right + 7, top - 14, scale.name, ''),
  ];
}

const text = (left: number, top: number, words: string, attributes: string): string =>
  `<text x="${px(left)}" y="${px(top)}"${attributes === '' ? '' : ` ${attributes}`}>${escapeHtml(words)}</text>`;
