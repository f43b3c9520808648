import type { Guide, Position } from '../model/block.js';
import { inkOf } from './palette.js';
import { spotsAlong, type WantedLabel } from './place-labels.js';
import { type Plot, px } from './plot.js';

const DASHES: Readonly<Record<Guide['look'], string>> = {
  limit: '1,3',
  claim: '7,4',
  floor: '1.5,3',
  trend: '2,2',
};
const COLOURS = { limit: 'ink', claim: 'ink', floor: 'soft', trend: 'ink' } as const;

/** The places of a guide in pixels, those without one left out; one that lies outside of the plot has none. */
export function guidePlaces({ at }: Guide, { x, y, left, right, top, bottom }: Plot): Position[] {
  if ('x' in at) {
    const place = x(at.x);
    return place >= left - 1 && place <= right + 1 ? [[place, bottom] as const, [place, top] as const] : [];
  }
  if ('y' in at) {
    const place = y(at.y);
    return place >= top - 1 && place <= bottom + 1 ? [[left, place] as const, [right, place] as const] : [];
  }
  return at.through
    .map(([across, up]): Position => [x(across), y(up)])
    .filter((place) => place.every(Number.isFinite));
}

export function drawGuide({ look }: Guide, places: readonly Position[]): string {
  if (places.length < 2) return '';
  const width = look === 'limit' ? '1' : '1.3';
  return `<path d="M${places.map(([x, y]) => `${px(x)},${px(y)}`).join('L')}" fill="none" stroke="${inkOf(COLOURS[look])}" stroke-width="${width}" stroke-dasharray="${DASHES[look]}"/>`;
}

/** The name of a guide where it may stand: a limit's at its right end, an upright's above the plot, any other's along it. */
export function guideLabel(
  { name, at, look }: Guide,
  places: readonly Position[],
  plot: Plot,
): WantedLabel[] {
  if (name === '' || places.length < 2) return [];
  const { left, right, top, bottom } = plot;
  const [x, y] = places.at(-1)!;
  if ('x' in at)
    return [
      {
        lines: [name],
        spots: [
          { x, y: top - 9, anchor: 'middle' },
          { x: x - 5, y: top - 9, anchor: 'end' },
          ...[top + 12, bottom - 12, (top + bottom) / 2].flatMap(
            (height) =>
              [
                { x: x - 5, y: height, anchor: 'end' },
                { x: x + 5, y: height, anchor: 'start' },
              ] as const,
          ),
        ],
      },
    ];
  if ('y' in at && look === 'limit') {
    const beside = [0, -8, 8].map((rise) => ({ x: right + 4, y: y + rise, anchor: 'start' }) as const);
    return [{ lines: [name], spots: beside }];
  }
  const along =
    'y' in at ? [1, 0, 0.5, 0.25, 0.75].map((share): Position => [left + share * (right - left), y]) : places;
  const inside = along.filter(([, height]) => height > top && height < bottom);
  return [{ lines: [name], spots: spotsAlong(inside) }];
}
