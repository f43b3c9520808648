import { lastCrossing } from '../../measure/crossing.js';
import type { Reading } from '../../record/run-record.js';
import type { CoherentTone } from '../../signal/coherent-tone.js';
import { decibelsOfPower, voltageRatio } from '../../units/decibel.js';
import { outputOf } from '../capture/drive.js';

/** A maximum power that lies further than this below the one it is held against falls short. */
export const SHORT_dB = 0.5;
/** What falls short is looked at so far above its maximum power: enough to show what stops it, little enough to do no harm. */
const OVER_dB = 0.4;
/** So many frequencies of a step are looked at, those between them being taken to fall short for the same cause. */
const MOST_PLACES = 6;
/** Of more channels than this only such are looked at that fall short by another amount. */
const FEW_CHANNELS = 2;

/** The readings of a search at one frequency: one list a capture, one entry a measured channel. */
export interface SearchedTone {
  readonly tone: CoherentTone;
  readonly readings: readonly (readonly Reading[])[];
}

/** Where one channel ends at one frequency. */
export interface ChannelEnd {
  /** `flattened`: the output no longer follows the drive; `never-kept`: the threshold is passed at any level. */
  readonly kind: 'found' | 'flattened' | 'never-kept' | 'not-reached';
  /** Power at the maximum power, or that of the highest level tried. */
  readonly power_W: number;
  /** Interface output at which the cause is to be looked for. */
  readonly output_V: number;
}

/** A frequency at which channels fall short, with how far, by place among the measured channels. */
export interface ShortPlace {
  readonly searched: SearchedTone;
  readonly short_dB: ReadonlyMap<number, number>;
}

/** An output that lags so far behind what the lowest level promises has met a limit, whatever THD+N says. */
const LAGGING_dB = 0.7;

/** How the search ended for one channel. */
export function channelEnd(
  { readings }: SearchedTone,
  index: number,
  threshold_percent: number,
): ChannelEnd | null {
  const own = readings
    .map((taken) => taken[index]!)
    .filter(({ fundamental_V }) => fundamental_V > 0)
    .sort((a, b) => outputOf(a) - outputOf(b));
  const [lowest, top] = [own[0], own.at(-1)];
  if (!lowest || !top) return null;
  const found = lastCrossing(own, threshold_percent);
  if (found) {
    const above = own.findLast((reading, i) => i > 0 && rises(own[i - 1]!, reading, threshold_percent));
    const output_V = outputOf(above ?? top) * voltageRatio(OVER_dB);
    return { kind: 'found', power_W: found.power_W, output_V };
  }
  if (own.every(({ thdn_percent }) => thdn_percent >= threshold_percent))
    return { kind: 'never-kept', power_W: lowest.power_W, output_V: outputOf(lowest) };
  const kind = lowest.gain_dB - top.gain_dB > LAGGING_dB ? 'flattened' : 'not-reached';
  return { kind, power_W: top.power_W, output_V: outputOf(top) };
}

function rises(below: Reading, above: Reading, threshold_percent: number): boolean {
  return below.thdn_percent < threshold_percent && above.thdn_percent >= threshold_percent;
}

/**
 * The frequencies at which some channel falls short of what it gives at the first one, or keeps the threshold at no level;
 * thinned to a few, spread over all of them. The first is among them only where a channel never keeps the threshold there.
 */
export function shortPlaces(all: readonly SearchedTone[], threshold_percent: number): ShortPlace[] {
  const [first] = all;
  if (!first) return [];
  const channels = first.readings[0]?.map((_, i) => i) ?? [];
  const best = channels.map((i) => channelEnd(first, i, threshold_percent));
  const places = all.flatMap((searched) => {
    const short = channels.flatMap((i) => {
      const by_dB = shortBy(channelEnd(searched, i, threshold_percent), best[i]!, searched === first);
      return by_dB === null ? [] : [[i, by_dB] as const];
    });
    return short.length === 0 ? [] : [{ searched, short_dB: new Map(telling(short)) }];
  });
  return thinned(places.sort((a, b) => a.searched.tone.frequency_Hz - b.searched.tone.frequency_Hz));
}

function shortBy(end: ChannelEnd | null, best: ChannelEnd | null, isFirst: boolean): number | null {
  if (!end) return null;
  if (end.kind === 'never-kept') return Number.POSITIVE_INFINITY;
  if (isFirst || end.kind === 'not-reached' || best?.kind !== 'found') return null;
  const by_dB = decibelsOfPower(best.power_W / end.power_W);
  return by_dB > SHORT_dB ? by_dB : null;
}

/** Of many channels that fall short alike, the worst stands for all. */
function telling(short: readonly (readonly [number, number])[]): (readonly [number, number])[] {
  if (short.length <= FEW_CHANNELS) return [...short];
  const kept: (readonly [number, number])[] = [];
  for (const one of short.toSorted((a, b) => b[1] - a[1]))
    if (kept.every(([, by_dB]) => by_dB - one[1] > SHORT_dB)) kept.push(one);
  return kept.slice(0, FEW_CHANNELS + 1);
}

/** The ends of the list, the worst place, and some between. */
function thinned(places: readonly ShortPlace[]): ShortPlace[] {
  if (places.length <= MOST_PLACES) return [...places];
  const worstOf = ({ short_dB }: ShortPlace) => Math.max(...short_dB.values());
  const worst = places.reduce((a, b) => (worstOf(b) > worstOf(a) ? b : a));
  const steps = MOST_PLACES - 1;
  const spread = Array.from({ length: steps }, (_, i) => Math.round((i * (places.length - 1)) / (steps - 1)));
  return places.filter((place, i) => place === worst || spread.includes(i));
}
