import { causeOf } from '../../measure/cause/cause-of.js';
import type { Cause, CauseQuestion } from '../../measure/cause/question.js';
import { type Finding, numberOf } from '../../record/finding.js';
import { channelWords } from '../../sequence/driven-channels.js';
import type { StepKindName } from '../../sequence/step-base.js';
import { decibelsOfPower } from '../../units/decibel.js';
import { formatQuantity } from '../../units/format.js';
import { SHORT_dB } from '../causes/short-places.js';

/** A power that one channel was found to give, by this session of a run or an earlier one. */
export interface KnownPower {
  readonly step: string;
  readonly kind: StepKindName;
  readonly channel: number;
  readonly driven: readonly number[];
  readonly load_ohm: number;
  readonly frequency_Hz: number;
  readonly mains_V: number | null;
  readonly threshold_percent: number;
  readonly power_W: number;
}

/** The maximum powers of a run, whoever asks for them: steps whose level refers to one, and the search for causes. */
export class KnownPowers {
  readonly #all: KnownPower[] = [];

  get all(): readonly KnownPower[] {
    return this.#all;
  }

  /** Remembers a finding that is a power found at one frequency. */
  see(finding: Finding): void {
    const { quantity, bound, setting, stimulus, terms } = finding;
    const power_W = numberOf(finding);
    const { channel, step, step_kind: kind, driven, load_ohm, mains_V } = setting;
    const { threshold_percent } = terms;
    const [frequency_Hz] = stimulus.lines_Hz;
    if (quantity !== 'max-power' || bound !== 'found' || terms.over_Hz) return;
    if (power_W === null || channel === null || threshold_percent === undefined || frequency_Hz === undefined)
      return;
    this.#all.push({
      step,
      kind,
      channel,
      driven,
      load_ohm,
      frequency_Hz,
      mains_V,
      threshold_percent,
      power_W,
    });
  }

  /** What a step found for a channel at a threshold; null when nothing. */
  of(step: string, channel: number, percent: number): number | null {
    const found = this.#all.find(
      (one) => one.step === step && one.channel === channel && one.threshold_percent === percent,
    );
    return found?.power_W ?? null;
  }
}

const near = (a: number, b: number): boolean => Math.abs(a / b - 1) < 1e-6;

/** Powers of the same channel at the same frequency, mains and threshold, found in the same way. */
function alike(now: KnownPower, before: readonly KnownPower[]): KnownPower[] {
  return before.filter(
    (other) =>
      other.kind === now.kind &&
      other.channel === now.channel &&
      other.mains_V === now.mains_V &&
      other.threshold_percent === now.threshold_percent &&
      near(other.frequency_Hz, now.frequency_Hz),
  );
}

/** Of the powers that the same channel gave into the same load with fewer driven, the highest, where `now` falls short of it. */
export function moreWithFewer(now: KnownPower, before: readonly KnownPower[]): KnownPower | null {
  const fewer = alike(now, before)
    .filter(({ load_ohm, driven }) => load_ohm === now.load_ohm && driven.length < now.driven.length)
    .filter(({ driven }) => driven.every((channel) => now.driven.includes(channel)))
    .sort((a, b) => b.power_W - a.power_W);
  return fewer[0] && fallOf_dB(now, fewer[0]) > SHORT_dB ? fewer[0] : null;
}

/**
 * A power into a higher load with the same channels driven, whose volts would give half a decibel more into the load of `now`
 * than it gets.
 *
 * @param loadOf the channel's load of a nominal value
 */
export function moreVoltsBefore(
  now: KnownPower,
  before: readonly KnownPower[],
  loadOf: (nominal_ohm: number) => { readonly measured_ohm: number },
): KnownPower | null {
  const squared = ({ power_W, load_ohm }: KnownPower) => power_W * loadOf(load_ohm).measured_ohm;
  const others = alike(now, before).filter(
    ({ load_ohm, driven }) => load_ohm > now.load_ohm && driven.join() === now.driven.join(),
  );
  return others.find((other) => decibelsOfPower(squared(other) / squared(now)) > SHORT_dB) ?? null;
}

const fallOf_dB = (now: KnownPower, fewer: KnownPower): number =>
  decibelsOfPower(fewer.power_W / now.power_W);

/**
 * Why a channel gives less the more of them are driven. What others draw reaches it through the supply that they share: its
 * rails stand lower then, whether they can be seen to move or not, so that what looks like rails is put down to the supply.
 */
export function causeOfFall(question: CauseQuestion, now: KnownPower, fewer: KnownPower): Cause[] {
  const shared =
    `${formatQuantity(now.power_W, 'W')} with ${channelWords(now.driven)} driven against ` +
    `${formatQuantity(fewer.power_W, 'W')} with ${channelWords(fewer.driven)}: what the others draw lowers the supply that they share`;
  const causes = causeOf(question);
  const held = causes.filter(({ cause }) => cause === 'supply-sag' || cause === 'rail-clipping');
  if (held.length === 0) return causes;
  const confidence = Math.min(
    0.95,
    held.reduce((sum, one) => sum + one.confidence, 0),
  );
  const evidence = [...held.flatMap((one) => one.evidence), shared];
  const sag: Cause = { cause: 'supply-sag', confidence, evidence };
  return [sag, ...causes.filter((one) => !held.includes(one))].sort((a, b) => b.confidence - a.confidence);
}
