import { causeOf } from '../../measure/cause/cause-of.js';
import type { EvidencePair } from '../../measure/cause/evidence.js';
import type { Cause, CauseQuestion } from '../../measure/cause/question.js';
import { type EnergisedStep, isEnergised, planOf } from '../../sequence/plan.js';
import type { CoherentTone } from '../../signal/coherent-tone.js';
import { voltageRatio } from '../../units/decibel.js';
import { outputOf } from '../capture/drive.js';
import type { StepStage, Walk } from '../course/walk.js';
import { causeFinding } from '../findings/finding-of.js';
import { causeOfFall, moreVoltsBefore, moreWithFewer } from '../memory/known-powers.js';
import {
  type CausePlace,
  differInLoad,
  hasOtherLoad,
  type LoadPower,
  loadShortfalls,
  type PowerPlace,
} from '../memory/load-comparison.js';
import { type CauseAim, lookForCause } from './look-for-cause.js';
import { channelEnd, type SearchedTone, type ShortPlace, shortPlaces } from './short-places.js';

/**
 * After the powers of a step have been found, asks why they fall short: at frequencies where a channel gives half a decibel
 * less than at the first one, where a threshold is never kept, and into a load that gets half a decibel less than the volts
 * into another would give. Each place costs two captures, and so does the first frequency, once.
 *
 * @param all the frequency to compare with first, which is that nearest to 1 kHz
 */
export async function diagnose(
  stage: StepStage,
  all: readonly SearchedTone[],
  threshold_percent: number,
): Promise<void> {
  const { walk, step } = stage;
  const [first] = all;
  if (!first) return;
  const places = shortPlaces(all, threshold_percent).map((place) => unexplained(stage, place));
  const found = channelsFound(first, threshold_percent);
  const crowded = found.filter((i) => fewerDriven(stage, first, i, threshold_percent));
  const compared = hasOtherLoad(walk.request.plan, step) ? found : [];
  const short = places.flatMap(({ searched, short_dB }) => (searched === first ? [] : [...short_dB.keys()]));
  const wanted = [...new Set([...short, ...compared, ...crowded])].sort((a, b) => a - b);
  const reference = wanted.length > 0 ? await lookAround(stage, first, threshold_percent, wanted) : null;
  const question: Context = { threshold_percent, reference };
  if (reference) await compareLoads(stage, first, question, compared);
  if (reference) await compareDriven(stage, first, question, crowded);
  for (const place of places) await explain(stage, place, first, question);
}

/**
 * The same after a climb, unless the searches of the plan will tell: by its lowest mark where a channel never keeps that, else
 * by its highest.
 */
export async function diagnoseClimb(
  stage: StepStage,
  all: readonly SearchedTone[],
  marks_percent: readonly number[],
): Promise<void> {
  const { plan } = stage.walk.request;
  const [lowest, highest] = [marks_percent[0], marks_percent.at(-1)];
  if (lowest === undefined || highest === undefined) return;
  if (plan.steps.some((other) => isEnergised(other) && planOf(other).explainsOverBand)) return;
  await diagnose(stage, all, shortPlaces(all, lowest).length > 0 ? lowest : highest);
}

/** Without the channels that an earlier session has explained there. */
export function unexplained({ walk, step }: StepStage, { searched, short_dB }: ShortPlace): ShortPlace {
  const left = [...short_dB].filter(
    ([i]) => !walk.hasFinding('cause', step.id, searched.tone.nominal_Hz, step.measured[i]),
  );
  return { searched, short_dB: new Map(left) };
}

/** What all questions of a step have in common. */
export interface Context {
  readonly threshold_percent: number;
  /** By place among the measured channels. */
  readonly reference: ReadonlyMap<number, EvidencePair> | null;
}

function channelsFound(first: SearchedTone, threshold_percent: number): number[] {
  const channels = first.readings[0]?.map((_, i) => i) ?? [];
  return channels.filter((i) => channelEnd(first, i, threshold_percent)?.kind === 'found');
}

/** Captures just above the maximum power of every channel at once, as they were driven in the search. */
export async function lookAround(
  stage: StepStage,
  searched: SearchedTone,
  threshold_percent: number,
  indexes: readonly number[],
) {
  return lookForCause(stage, aimOf(stage, searched, threshold_percent), indexes);
}

function aimOf({ walk, step }: StepStage, searched: SearchedTone, threshold_percent: number): CauseAim {
  const parts = step.measured.map((channel, i) => {
    const load = walk.load(channel, step.load_ohm);
    const lowest = searched.readings
      .map((taken) => taken[i]!)
      .reduce((least, reading) => (outputOf(reading) < outputOf(least) ? reading : least));
    const gain = voltageRatio(lowest.gain_dB);
    const most_V = Math.min(
      Math.sqrt(step.most_W * load.measured_ohm) / gain,
      walk.chain(channel).outputFullScale_Vpk / Math.SQRT2,
    );
    const end = channelEnd(searched, i, threshold_percent);
    const output_V = Math.min(end?.output_V ?? outputOf(lowest), most_V);
    return { output_V, asked_W: (output_V * gain) ** 2 / load.measured_ohm };
  });
  return {
    tone: searched.tone,
    outputs_V: parts.map(({ output_V }) => output_V),
    asked_W: Math.max(...parts.map(({ asked_W }) => asked_W)),
  };
}

/** Says why at one frequency, for every channel that falls short there. */
export async function explain(
  stage: StepStage,
  { searched, short_dB }: ShortPlace,
  first: SearchedTone,
  { threshold_percent, reference }: Context,
): Promise<void> {
  const { walk, step } = stage;
  const indexes = [...short_dB.keys()];
  if (indexes.length === 0) return;
  const pairs = await lookAround(stage, searched, threshold_percent, indexes);
  if (!pairs) return;
  for (const index of indexes) {
    const known = searched === first ? undefined : reference?.get(index);
    const here = placeOf(step, index, first.tone, threshold_percent);
    const otherLoad = known && walk.loadPowers.find((one) => differInLoad(one, here));
    await tell(stage, placeOf(step, index, searched.tone, threshold_percent), {
      ...pairs.get(index)!,
      threshold_percent,
      ...(known ? { reference: known.failing, referenceLow: known.low } : {}),
      ...(otherLoad ? { otherLoad: otherLoad.failing } : {}),
    });
  }
}

/** Remembers what this load gives, and explains what falls short of another. */
async function compareLoads(
  stage: StepStage,
  first: SearchedTone,
  { threshold_percent, reference }: Context,
  indexes: readonly number[],
): Promise<void> {
  const { walk, step } = stage;
  for (const index of indexes) {
    const pair = reference?.get(index);
    const end = channelEnd(first, index, threshold_percent);
    if (!pair || !end) continue;
    const power: LoadPower = {
      ...pair,
      ...placeOf(step, index, first.tone, threshold_percent),
      power_W: end.power_W,
      ohm: walk.load(step.measured[index]!, step.load_ohm).measured_ohm,
    };
    const shortfalls = loadShortfalls(power, walk.loadPowers);
    for (const { short, question } of shortfalls) await tell(stage, short, question);
    // An earlier session has left its powers, and not what was seen at them.
    const now = powerFound(stage, first, index, threshold_percent);
    const before = now && moreVoltsBefore(now, walk.found.all, (ohm) => walk.load(now.channel, ohm));
    if (before && shortfalls.length === 0) await tell(stage, power, { ...pair, threshold_percent });
    walk.loadPowers.push(power);
  }
}

/** What a channel gives at the first frequency; null when it has no maximum power there. */
function powerFound({ step }: StepStage, first: SearchedTone, index: number, threshold_percent: number) {
  const end = channelEnd(first, index, threshold_percent);
  if (end?.kind !== 'found') return null;
  return { ...placeOf(step, index, first.tone, threshold_percent), power_W: end.power_W };
}

function fewerDriven(stage: StepStage, first: SearchedTone, index: number, threshold_percent: number) {
  const now = powerFound(stage, first, index, threshold_percent);
  return now && moreWithFewer(now, stage.walk.found.all);
}

/** Explains what falls short of the same channel with fewer driven, unless it was explained by another load. */
async function compareDriven(
  stage: StepStage,
  first: SearchedTone,
  { threshold_percent, reference }: Context,
  indexes: readonly number[],
): Promise<void> {
  const { walk } = stage;
  for (const index of indexes) {
    const [pair, now] = [reference?.get(index), powerFound(stage, first, index, threshold_percent)];
    const fewer = fewerDriven(stage, first, index, threshold_percent);
    if (!pair || !now || !fewer) continue;
    if (walk.alreadySaid(toldKey(now))) continue;
    const causes = causeOfFall({ ...pair, threshold_percent }, now, fewer);
    await name(walk, now, causes);
  }
}

function placeOf(
  { id, kind, measured, driven, load_ohm, mains_V }: EnergisedStep,
  index: number,
  { nominal_Hz, frequency_Hz }: CoherentTone,
  threshold_percent: number,
): PowerPlace {
  const channel = measured[index]!;
  return { step: id, kind, channel, driven, load_ohm, mains_V, nominal_Hz, frequency_Hz, threshold_percent };
}

async function tell({ walk }: StepStage, at: CausePlace, question: CauseQuestion): Promise<void> {
  if (walk.alreadySaid(toldKey(at))) return;
  await name(walk, at, causeOf(question));
}

/** Names causes at a place, which may belong to an earlier step. */
async function name(walk: Walk, at: CausePlace, causes: readonly Cause[]): Promise<void> {
  const step = walk.request.plan.steps.find(({ id }) => id === at.step);
  if (step && isEnergised(step))
    await walk.emit({ kind: 'finding', finding: causeFinding(step, at, causes) });
}

const toldKey = ({ step, channel, nominal_Hz }: CausePlace) => `cause ${step} ${channel} ${nominal_Hz}`;
