import { formatQuantity } from '../../../units/format.js';
import type { Dot, ViewCurve } from '../../run-view.js';
import { linearScale, logScale, type Scale } from './scale.js';

export type Place = readonly [x: number, y: number];

/** What one channel has on a panel, in values of the axes. */
export interface Series {
  readonly channel: number;
  /** Joined by a line, in this order, each with its mark. */
  readonly line: readonly Place[];
  /** Looks that no line goes through. */
  readonly loose: readonly Place[];
  /** Where the last reading lies. */
  readonly last: Place;
}

export interface Panel {
  readonly title: string;
  readonly x: Scale;
  readonly y: Scale;
  readonly series: readonly Series[];
  /** Values that are looked for or promised, straight across. */
  readonly across: readonly Mark[];
  /** The same from top to bottom. */
  readonly upright: readonly Mark[];
}

export interface Mark {
  readonly at: number;
  readonly label: string;
  readonly kind: 'limit' | 'claim';
}

type Read = (dot: Dot) => number;
const power: Read = (dot) => dot.power_W;
const residue: Read = (dot) => dot.thdn_percent;
const frequency: Read = (dot) => dot.frequency_Hz;
const time: Read = (dot) => dot.at_s;

/** How the readings of a step are drawn: against power, over frequency or over time, as its kind asks for. */
export function panelsOf(curve: ViewCurve, claim_W: number | null): readonly Panel[] {
  const claim: Mark[] =
    claim_W === null ? [] : [{ at: claim_W, label: `claim ${formatQuantity(claim_W, 'W')}`, kind: 'claim' }];
  const limits: Mark[] = curve.thresholds_percent.map((at) => ({
    at,
    label: formatQuantity(at, '%'),
    kind: 'limit',
  }));
  switch (curve.stepKind) {
    case 'climb':
      return [climbPanel(curve.dots, limits, claim)];
    case 'max-power':
      return [ceilingPanel(curve, claim)];
    case 'sweep':
      return [
        residuePanel(curve.dots, 'over frequency', frequency, 'Hz'),
        powerPanel(curve.dots, 'over frequency', frequency, 'Hz', claim),
      ];
    case 'hold':
    case 'warm-up':
      return [
        powerPanel(curve.dots, 'over time', time, 's', claim),
        residuePanel(curve.dots, 'over time', time, 's'),
      ];
  }
}

function climbPanel(dots: readonly Dot[], limits: readonly Mark[], claim: readonly Mark[]): Panel {
  return {
    title: 'THD+N against power',
    // What is looked for is not to lie on the frame itself.
    x: logScale([...dots.map(power), ...claim.map(({ at }) => 1.2 * at)], 'W', 2),
    y: logScale([...dots.map(residue), ...limits.map(({ at }) => 1.2 * at)], '%', 2),
    series: byChannel(dots).map((own) => joined(own, power, residue)),
    across: limits,
    upright: claim,
  };
}

/** A line through the most power of each frequency that keeps the threshold; what was tried beside it stays loose. */
function ceilingPanel({ dots, thresholds_percent }: ViewCurve, claim: readonly Mark[]): Panel {
  const threshold = thresholds_percent[0] ?? Number.POSITIVE_INFINITY;
  const series = byChannel(dots).map((own) => {
    const best = new Map<number, Dot>();
    for (const dot of own)
      if (dot.thdn_percent <= threshold && dot.power_W > (best.get(dot.frequency_Hz)?.power_W ?? 0))
        best.set(dot.frequency_Hz, dot);
    const loose = own.filter((dot) => best.get(dot.frequency_Hz) !== dot);
    return {
      ...joined([...best.values()], frequency, power, own.at(-1)),
      loose: loose.map(placeOf(frequency, power)),
    };
  });
  return {
    title: `Most power that keeps ${formatQuantity(threshold, '%')} THD+N, so far; hollow: tried`,
    x: logScale(dots.map(frequency), 'Hz', 1),
    y: logScale([...dots.map(power), ...claim.map(({ at }) => 1.2 * at)], 'W', 1),
    series,
    across: claim,
    upright: [],
  };
}

function residuePanel(dots: readonly Dot[], over: string, x: Read, unit: 'Hz' | 's'): Panel {
  return {
    title: `THD+N ${over}`,
    x: across(dots, x, unit),
    y: logScale(dots.map(residue), '%', 1),
    series: byChannel(dots).map((own) => joined(own, x, residue)),
    across: [],
    upright: [],
  };
}

function powerPanel(
  dots: readonly Dot[],
  over: string,
  x: Read,
  unit: 'Hz' | 's',
  claim: readonly Mark[],
): Panel {
  const powers = dots.map(power);
  // Half a decibel of power fills no panel: a level that stands is to look like one.
  const most = powers.reduce((a, b) => Math.max(a, b), 0);
  return {
    title: `Power ${over}`,
    x: across(dots, x, unit),
    y: linearScale(powers, 'W', 0.2 * most),
    series: byChannel(dots).map((own) => joined(own, x, power)),
    across: claim.filter(({ at }) => at > 0.8 * most && at < 1.2 * most),
    upright: [],
  };
}

const across = (dots: readonly Dot[], x: Read, unit: 'Hz' | 's'): Scale =>
  unit === 'Hz' ? logScale(dots.map(x), unit, 1) : linearScale(dots.map(x), unit, 1);

function byChannel(dots: readonly Dot[]): readonly (readonly Dot[])[] {
  const channels = new Map<number, Dot[]>();
  for (const dot of dots) {
    const own = channels.get(dot.channel);
    if (own) own.push(dot);
    else channels.set(dot.channel, [dot]);
  }
  return [...channels.entries()].sort(([a], [b]) => a - b).map(([, own]) => own);
}

const placeOf =
  (x: Read, y: Read) =>
  (dot: Dot): Place => [x(dot), y(dot)];

/** All of one channel's dots on a line from left to right. */
function joined(own: readonly Dot[], x: Read, y: Read, last = own.at(-1)): Series {
  const line = own.map(placeOf(x, y)).sort(([a], [b]) => a - b);
  return { channel: (own[0] ?? last)!.channel, line, loose: [], last: placeOf(x, y)(last!) };
}
