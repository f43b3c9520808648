import { escapeHtml } from '../html/markup.js';
import type { Axis } from './axes.js';
import { inkOf } from './palette.js';
import { type PlotArea, px } from './plot-area.js';

const FONT = 12;
/** Mean width of a figure in the page's letters, pixels; generous, so that numbers never touch. */
const FIGURE_WIDTH = 7;
const NUMBER_GAP = 6;

/** Hairlines, numbers and names of both axes. */
export function drawAxes(area: PlotArea, across: Axis, up: Axis): string {
  const { left, right, top, bottom, x, y } = area;
  // Half pixels: a hairline then covers one row of pixels and not two.
  const sharp = (value: number) => Math.round(value) + 0.5;
  const upright = across.grid.map((at) => `M${sharp(x(at))},${px(top)}V${px(bottom)}`);
  const level = up.grid.map((at) => `M${px(left)},${sharp(y(at))}H${px(right)}`);
  return [
    `<path d="${[...upright, ...level].join('')}" fill="none" stroke="${inkOf('grid')}"/>`,
    `<path d="M${px(left)},${sharp(bottom)}H${px(right)}" fill="none" stroke="${inkOf('soft')}"/>`,
    `<g font-size="${FONT}" fill="${inkOf('soft')}">`,
    ...withRoom(across, (at, text) => [x(at), text.length * FIGURE_WIDTH]).map(
      ([at, text]) =>
        `<text x="${px(x(at))}" y="${px(bottom + 17)}" text-anchor="middle">${escapeHtml(text)}</text>`,
    ),
    ...withRoom(up, (at) => [y(at), FONT]).map(
      ([at, text]) =>
        `<text x="${px(left - 7)}" y="${px(y(at))}" dy=".35em" text-anchor="end">${escapeHtml(text)}</text>`,
    ),
    `<text x="${px((left + right) / 2)}" y="${px(bottom + 38)}" text-anchor="middle">${escapeHtml(across.name)}</text>`,
    `<text x="2" y="${px(top - 14)}">${escapeHtml(up.name)}</text>`,
    '</g>',
  ].join('');
}

/** The numbers of an axis that do not touch the one before. */
function withRoom(
  { labelled, print }: Axis,
  extent: (at: number, text: string) => readonly [middle: number, length: number],
): (readonly [at: number, text: string])[] {
  let taken: readonly [middle: number, length: number] | null = null;
  return labelled.flatMap((at) => {
    const text = print(at);
    const [middle, length] = extent(at, text);
    if (taken !== null && Math.abs(middle - taken[0]) < (length + taken[1]) / 2 + NUMBER_GAP) return [];
    taken = [middle, length];
    return [[at, text] as const];
  });
}
