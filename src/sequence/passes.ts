import type { ChannelChain } from '../calibration/chain.js';
import { isEnergised, isWired, type PlanStep, planOf, type WiredStep } from './plan.js';
import type { Tap } from './step-base.js';

/** Channels that can be read at once, one tap an input: wave 0 first, then the taps move on to wave 1. */
interface Waves {
  readonly count: number;
  of(channel: number): number;
  taps(wave: number): readonly Tap[];
}

const risen = (channels: Iterable<number>) => [...new Set(channels)].sort((a, b) => a - b);

/** Gives each channel the first wave in which no other channel wants an input of its. */
function wavesOf(channels: readonly ChannelChain[]): Waves {
  const taken: Set<number>[] = [];
  const waveOf = new Map<number, number>();
  for (const { channel, input, current } of channels) {
    const inputs = current ? [input, current.input] : [input];
    const free = taken.findIndex((used) => inputs.every((wanted) => !used.has(wanted)));
    const wave = free < 0 ? taken.length : free;
    taken[wave] = new Set([...(taken[wave] ?? []), ...inputs]);
    waveOf.set(channel, wave);
  }
  const of = (channel: number) => waveOf.get(channel)!;
  const inTurn = [...channels].sort((a, b) => of(a.channel) - of(b.channel));
  return {
    count: taken.length,
    of,
    taps: (wave) => tapsAt(inTurn.filter(({ channel }) => of(channel) <= wave)),
  };
}

/** The taps once each of the channels has had its turn, in this order: an input that is not wanted stays where it was. */
function tapsAt(channels: readonly ChannelChain[]): Tap[] {
  const places = new Map<number, Tap>();
  for (const { input, channel, current } of channels) {
    places.set(input, { input, channel });
    if (current) places.set(current.input, { input: current.input, channel, shunt: true });
  }
  return [...places.values()].sort((a, b) => a.input - b.input);
}

const standsAlone = (step: PlanStep | undefined) => step !== undefined && planOf(step).standsAlone;

/** Steps in a row that one setting of load and mains serves. */
function blocksOf(steps: readonly PlanStep[]): PlanStep[][] {
  const blocks: PlanStep[][] = [];
  let setting: string | null = null;
  for (const step of steps) {
    const own: string | null = isWired(step) ? `${step.load_ohm} ${step.mains_V}` : setting;
    const last = blocks.at(-1);
    const apart = standsAlone(step) || standsAlone(last?.[0]) || (setting !== null && own !== setting);
    if (!last || apart) blocks.push([step]);
    else last.push(step);
    setting = standsAlone(step) ? null : own;
  }
  return blocks;
}

/**
 * Names for each step all channels that get its load, so that a change of the driven set asks nobody to come; and
 * where the bench has fewer inputs than channels, goes through each stretch of steps once for every position of
 * the taps. All driven channels stay driven in every pass, only those with a tap are read. A stretch is
 * gone through as a whole, rather than each step again and again, since then the taps move only once a stretch
 * and position. What is played once, as a warm-up is, is played in the first pass.
 */
export function inPasses(steps: readonly PlanStep[], chains: readonly ChannelChain[]): PlanStep[] {
  const wired = steps.filter(isWired);
  const everDriven = risen(wired.flatMap((step) => step.driven));
  const waves = wavesOf(chains.filter(({ channel }) => everDriven.includes(channel)));
  const withLoad = (load_ohm: number) =>
    risen(wired.filter((step) => step.load_ohm === load_ohm).flatMap((step) => step.driven));
  const known = steps.map((step) => (isWired(step) ? { ...step, wired: withLoad(step.load_ohm) } : step));
  if (waves.count < 2) return known;
  let at = 0;
  return blocksOf(known).flatMap((block) => {
    const needed = risen(block.filter(isWired).flatMap((step) => step.driven.map(waves.of)));
    const order = needed.includes(at) ? [at, ...needed.filter((wave) => wave !== at)] : needed;
    at = order.at(-1) ?? at;
    return order.length === 0 ? block : order.flatMap((_, pass) => onePass(block, waves, order, pass));
  });
}

/** The steps of a stretch with the taps where one pass has them. */
function onePass(
  block: readonly PlanStep[],
  waves: Waves,
  order: readonly number[],
  pass: number,
): PlanStep[] {
  const wave = order[pass]!;
  return block.flatMap((step): PlanStep[] => {
    const once = planOf(step).passes === 'once';
    if (!isWired(step)) {
      if (pass === 0) return [step];
      return once ? [] : [{ ...step, id: `${step.id}/pass-${pass + 1}` }];
    }
    const measured = step.driven.filter((channel) => waves.of(channel) === wave);
    const earlier = order
      .slice(0, pass)
      .some((done) => step.driven.some((channel) => waves.of(channel) === done));
    if (measured.length === 0 || (once && earlier)) return [];
    return [tapped(step, measured, waves.taps(wave))];
  });
}

function tapped(step: WiredStep, measured: readonly number[], taps: readonly Tap[]): WiredStep {
  const whole = measured.length === step.driven.length;
  const suffix = whole ? '' : `/taps-${measured.join('+')}`;
  const id = planOf(step).passes === 'once' ? step.id : step.id + suffix;
  const placed = { ...step, measured, taps, id };
  // The climb that a level comes from drove the same channels, so it was read in the same passes.
  return isEnergised(placed) ? planOf(placed).inPass(placed, suffix) : placed;
}
