import { drawn } from './dom.js';
import type { Mark, Panel, Place, Series } from './panels.js';

interface Box {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
}

/** Radius of a mark, in pixels. */
const R = 3;

/** Shapes of marks around a place, one a channel, so that they are told apart without colour. */
const SHAPES: readonly ((x: number, y: number) => string)[] = [
  (x, y) => `M${x - R} ${y}a${R} ${R} 0 1 0 ${2 * R} 0a${R} ${R} 0 1 0 ${-2 * R} 0`,
  (x, y) => `M${x - R} ${y - R}h${2 * R}v${2 * R}h${-2 * R}z`,
  (x, y) => `M${x} ${y - R - 1}l${R + 1} ${2 * R}h${-2 * R - 2}z`,
  (x, y) => `M${x} ${y - R - 1}l${R + 1} ${R + 1}l${-R - 1} ${R + 1}l${-R - 1} ${-R - 1}z`,
  (x, y) => `M${x - R} ${y - R}l${2 * R} ${2 * R}m0 ${-2 * R}l${-2 * R} ${2 * R}`,
  (x, y) => `M${x - R - 1} ${y}h${2 * R + 2}m${-R - 1} ${-R - 1}v${2 * R + 2}`,
  (x, y) => `M${x} ${y + R + 1}l${R + 1} ${-2 * R}h${-2 * R - 2}z`,
  (x, y) => `M${x - R - 1} ${y - 1}h${2 * R + 2}v2h${-2 * R - 2}z`,
];

/** A channel's mark, and the class of its colour and dash: eight marks and six colours tell 24 channels apart. */
const markOf = (channel: number) => SHAPES[(channel - 1) % SHAPES.length]!;
const lookOf = (channel: number): number => ((channel - 1) % 6) + 1;

/** A short piece of a channel's line, for the key. */
export function lineSample(channel: number): SVGElement {
  const look = lookOf(channel);
  return drawn(
    'svg',
    { 'aria-hidden': 'true', viewBox: '0 0 38 12' },
    drawn('path', { class: `line c${look} d${look}`, d: 'M0 6H38' }),
    drawn('path', { class: `mark c${look}`, d: markOf(channel)(19, 6) }),
  );
}

/** Draws a panel in so many pixels. */
export function drawPanel(panel: Panel, width: number, height: number): SVGElement {
  const box: Box = { left: 58, top: 24, width: width - 58 - 14, height: height - 24 - 26 };
  const at = ([x, y]: Place): Place => [
    round(box.left + box.width * panel.x.place(x)),
    round(box.top + box.height * (1 - panel.y.place(y))),
  ];
  return drawn(
    'svg',
    { role: 'img', 'aria-label': summary(panel), viewBox: `0 0 ${width} ${height}`, height },
    drawn('text', { class: 'name', x: 0, y: 12 }, panel.title),
    ...gridX(panel, box),
    ...gridY(panel, box),
    drawn('rect', { class: 'axis', x: box.left, y: box.top, width: box.width, height: box.height }),
    ...panel.across.flatMap((mark) => acrossLine(mark, panel, box)),
    ...panel.upright.flatMap((mark) => uprightLine(mark, panel, box)),
    ...panel.series.flatMap((series) => seriesLine(series, at)),
  );
}

const round = (value: number): number => Math.round(value * 10) / 10;

function summary({ title, series }: Panel): string {
  const readings = series.reduce((sum, { line, loose }) => sum + line.length + loose.length, 0);
  return `${title}: ${readings} readings of ${series.length} channels; the latest are in the table`;
}

/** Names that would touch the one before are left out. */
function gridX({ x }: Panel, box: Box): SVGElement[] {
  let taken = Number.NEGATIVE_INFINITY;
  return x.ticks.flatMap(({ at, label }) => {
    const place = round(box.left + box.width * x.place(at));
    const line = drawn('path', { class: 'grid', d: `M${place} ${box.top}v${box.height}` });
    const half = label.length * 3.4;
    if (label === '' || place - half < taken) return [line];
    taken = place + half + 8;
    const end = place + half > box.left + box.width + 14;
    const text = {
      x: end ? box.left + box.width + 14 : place,
      y: box.top + box.height + 18,
      'text-anchor': end ? 'end' : 'middle',
    };
    return [line, drawn('text', text, label)];
  });
}

function gridY({ y }: Panel, box: Box): SVGElement[] {
  let taken = Number.POSITIVE_INFINITY;
  return y.ticks.flatMap(({ at, label }) => {
    const place = round(box.top + box.height * (1 - y.place(at)));
    const line = drawn('path', { class: 'grid', d: `M${box.left} ${place}h${box.width}` });
    if (label === '' || place > taken - 15) return [line];
    taken = place;
    return [line, drawn('text', { x: box.left - 7, y: place + 4, 'text-anchor': 'end' }, label)];
  });
}

function acrossLine({ at, label, kind }: Mark, { y }: Panel, box: Box): SVGElement[] {
  const place = round(box.top + box.height * (1 - y.place(at)));
  return [
    drawn('path', { class: kind, d: `M${box.left} ${place}h${box.width}` }),
    drawn('text', { class: 'name', x: box.left + 6, y: place - 4 }, label),
  ];
}

function uprightLine({ at, label, kind }: Mark, { x }: Panel, box: Box): SVGElement[] {
  const place = round(box.left + box.width * x.place(at));
  return [
    drawn('path', { class: kind, d: `M${place} ${box.top}v${box.height}` }),
    drawn('text', { class: 'name', x: place - 5, y: box.top + 14, 'text-anchor': 'end' }, label),
  ];
}

function seriesLine({ channel, line, loose, last }: Series, at: (place: Place) => Place): SVGElement[] {
  const look = lookOf(channel);
  const shape = markOf(channel);
  const places = line.map(at);
  const marks = (of: readonly Place[]) => of.map(([x, y]) => shape(x, y)).join('');
  const [x, y] = at(last);
  return [
    drawn('path', {
      class: `line c${look} d${look}`,
      d: places.map(([x, y], i) => `${i ? 'L' : 'M'}${x} ${y}`).join(''),
    }),
    drawn('path', { class: `mark hollow c${look}`, d: marks(loose.map(at)) }),
    drawn('path', { class: `mark c${look}`, d: places.length > 400 ? '' : marks(places) }),
    drawn('circle', { class: 'last', cx: x, cy: y, r: 7 }),
  ];
}
