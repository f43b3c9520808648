import type { Position } from '../model/block.js';

/** A rectangle in pixels. */
export interface Box {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

/** Where words may stand: a point that they begin at, end at or are centred on, the middle of their first line. */
export interface Spot {
  readonly x: number;
  readonly y: number;
  readonly anchor: 'start' | 'middle' | 'end';
}

export interface WantedLabel {
  readonly lines: readonly string[];
  /** From the best to the worst. */
  readonly spots: readonly Spot[];
  /** Whether the first line is set off. */
  readonly strong?: boolean;
  /** It is referred to from elsewhere, and stands somewhere in any case. */
  readonly needed?: boolean;
}

export interface PlacedLabel extends WantedLabel {
  readonly spot: Spot;
}

/** What labels keep clear of: markers they never cover, lines only where nothing else is left. */
export interface Drawn {
  readonly markers: readonly Position[];
  readonly lines: readonly (readonly Position[])[];
}

export const LINE_HEIGHT = 15;
/** Mean width of a character, and the space that a marker takes around its middle, in pixels. */
const CHARACTER = 6.7;
const MARKER = 5;
const STRIDE = 6;

/**
 * Finds a place for each label where it covers no marker, no other label and as little of the lines as may be. One that
 * has no such place is left out: whatever it says stands in the caption as well.
 */
export function placeLabels(
  wanted: readonly WantedLabel[],
  { markers, lines }: Drawn,
  bounds: Box,
  taken: readonly Box[],
): PlacedLabel[] {
  const samples = lines.flatMap(sampled);
  const boxes = [...taken];
  return wanted.flatMap((label) => {
    let best: { readonly spot: Spot; readonly cost: number } | null = null;
    label.spots.forEach((spot, i) => {
      const box = boxOf(label, spot);
      const covered =
        count(markers, box, MARKER) +
        boxes.filter((other) => overlap(box, other)).length +
        (isWithin(box, bounds) ? 0 : 1);
      if (covered > 0 && !label.needed) return;
      const cost = 1000 * covered + count(samples, box, 1) + i / 4;
      if (best === null || cost < best.cost) best = { spot, cost };
    });
    const found = best as { readonly spot: Spot } | null;
    if (found === null) return [];
    boxes.push(boxOf(label, found.spot));
    return [{ ...label, spot: found.spot }];
  });
}

function boxOf({ lines }: WantedLabel, { x, y, anchor }: Spot): Box {
  const width = CHARACTER * Math.max(...lines.map((line) => line.length));
  const left = x - { start: 0, middle: width / 2, end: width }[anchor];
  const half = LINE_HEIGHT / 2;
  return { left, right: left + width, top: y - half, bottom: y - half + lines.length * LINE_HEIGHT };
}

const count = (places: readonly Position[], { left, right, top, bottom }: Box, room: number): number =>
  places.filter(([x, y]) => x > left - room && x < right + room && y > top - room && y < bottom + room)
    .length;

const overlap = (a: Box, b: Box): boolean =>
  a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;

const isWithin = (box: Box, bounds: Box): boolean =>
  box.left >= bounds.left &&
  box.right <= bounds.right &&
  box.top >= bounds.top &&
  box.bottom <= bounds.bottom;

/** Places along a line, a few pixels apart. */
function sampled(line: readonly Position[]): Position[] {
  return line.flatMap(([x, y], i) => {
    const [fromX, fromY] = line[i - 1] ?? [x, y];
    const steps = Math.max(1, Math.ceil(Math.hypot(x - fromX, y - fromY) / STRIDE));
    return Array.from({ length: steps }, (_, n): Position => {
      const share = (n + 1) / steps;
      return [fromX + share * (x - fromX), fromY + share * (y - fromY)];
    });
  });
}

const DISTANCES = [13, 20, 30, 44, 62, 84];

/** Spots around a mark, the nearer ones first, for so many lines. */
export function spotsAround([x, y]: Position, lines: number): Spot[] {
  const deep = (lines - 1) * LINE_HEIGHT;
  return DISTANCES.flatMap((far): Spot[] => {
    const near = 0.7 * far;
    return [
      { x: x - far, y: y - deep / 2, anchor: 'end' },
      { x: x + far, y: y - deep / 2, anchor: 'start' },
      { x: x - near, y: y - near - deep, anchor: 'end' },
      { x: x + near, y: y + near, anchor: 'start' },
      { x: x - near, y: y + near, anchor: 'end' },
      { x: x + near, y: y - near - deep, anchor: 'start' },
      { x, y: y - far - deep, anchor: 'middle' },
      { x, y: y + far, anchor: 'middle' },
    ];
  });
}

/** Spots above and below a line, from its beginning on. */
export const spotsAlong = (line: readonly Position[]): Spot[] =>
  line.flatMap(([x, y]): Spot[] =>
    [-10, 11].flatMap((rise): Spot[] => [
      { x: x + 3, y: y + rise, anchor: 'start' },
      { x: x - 3, y: y + rise, anchor: 'end' },
    ]),
  );
