import type { Band } from '../../measure/analysis.js';
import type { CauseCode } from '../../measure/cause/question.js';
import type { Interval } from '../../record/finding.js';
import type { Outcome } from '../../record/outcome.js';
import type { SearchEnd } from '../../record/reasons.js';
import type { Conflict } from '../bounds/conflict.js';
import type { StoppedFollowing } from '../bounds/following.js';
import type { Witness } from '../bounds/trials.js';
import type { CheckItem, CheckState } from '../check/check.js';
import type { RatedPower } from '../rating/rating.js';
import type { Verdict } from '../verdict/verdict.js';

/** Load and channels of a figure. */
export interface ConclusionSetting {
  readonly load_ohm: number;
  readonly driven: readonly number[];
  /** All channels that the run drives anywhere. */
  readonly all_driven: boolean;
  readonly mains_V: number | null;
}

/** One channel at one frequency of a setting. */
export interface ConclusionPlace {
  readonly setting: ConclusionSetting;
  readonly channel: number;
  readonly nominal_Hz: number;
}

/** What distortion comes from: it falls with level, it is noise, it comes and goes, or it does none of that. */
export type ExceededBy = 'crossover' | 'noise' | 'hump' | 'distortion';

/** A channel beside the others. */
export type OutOfLine =
  /** Less power at a limit than another channel. */
  | { readonly by: 'power'; readonly limit_percent: number; readonly own_W: number; readonly other_W: number }
  /** More THD+N than another at the same level. */
  | {
      readonly by: 'thdn';
      readonly power_W: number;
      readonly own_percent: number;
      readonly other_percent: number;
      readonly because: ExceededBy;
    };

/** The last level that was read before a limit ended a run, and when in the run that was. */
export interface LastRead {
  readonly power_W: number;
  readonly nominal_Hz: number;
  readonly at_s: number;
}

/** Why a climb found no power at any limit. */
export type EndedEarly =
  | { readonly by: 'never-below'; readonly best_percent: number; readonly best_W: number }
  | { readonly by: 'unknown' }
  | { readonly by: 'shut-down' }
  | SearchEnd;

/** What a conclusion says, with its figures. */
export type Said =
  | {
      readonly code: 'ended-early';
      readonly outcome: Exclude<Outcome, 'completed'> | 'running';
      readonly reason: string;
      readonly last: LastRead | null;
    }
  /** An output was gone all at once at a constant level, which ended the run. */
  | {
      readonly code: 'shut-down';
      readonly place: ConclusionPlace;
      readonly evidence: readonly string[];
      readonly last: LastRead | null;
    }
  | {
      readonly code: 'out-of-line';
      readonly place: ConclusionPlace;
      readonly against: number;
      readonly out: OutOfLine;
    }
  | {
      readonly code: 'exceeded-below';
      readonly place: ConclusionPlace;
      readonly limit_percent: number;
      readonly intervals: readonly Interval[];
      readonly worst: { readonly power_W: number; readonly percent: number };
      readonly because: ExceededBy;
      /** Other channels of which the same is to be said, with less distortion. */
      readonly alike: readonly number[];
      /** It reaches the powers that a rating has to be kept at. */
      readonly unfit: boolean;
    }
  /** A load whose ohms are off its nominal value. */
  | {
      readonly code: 'load-off-nominal';
      readonly channel: number;
      readonly load_ohm: number;
      readonly measured_ohm: number;
    }
  | {
      readonly code: 'source-clips';
      readonly setting: ConclusionSetting;
      readonly input_V: number;
      readonly channels: readonly number[];
    }
  | {
      readonly code: 'stopped-following';
      readonly place: ConclusionPlace;
      readonly stopped: StoppedFollowing;
    }
  | {
      readonly code: 'contradictory';
      readonly place: ConclusionPlace;
      readonly limit_percent: number;
      readonly conflict: Conflict;
    }
  | {
      readonly code: 'full-band-power';
      readonly setting: ConclusionSetting;
      readonly limit_percent: number;
      readonly over_Hz: Band;
      readonly power: RatedPower;
      /** Highest preferred number below it with its guard band; null where a doubt forbids one. */
      readonly rating_W: number | null;
    }
  | {
      readonly code: 'no-full-band-power';
      readonly setting: ConclusionSetting;
      readonly limit_percent: number;
      readonly why: readonly string[];
    }
  | {
      readonly code: 'power-at';
      readonly setting: ConclusionSetting;
      readonly nominal_Hz: number;
      readonly powers: readonly { readonly limit_percent: number; readonly power: RatedPower }[];
      /** The setting was said before. */
      readonly brief: boolean;
    }
  | {
      readonly code: 'climb-ended';
      readonly setting: ConclusionSetting;
      readonly nominal_Hz: number;
      readonly channel: number;
      readonly limit_percent: number;
      readonly delivered_W: number;
      readonly percent: number;
      readonly end: EndedEarly;
    }
  | {
      readonly code: 'level-kept';
      readonly setting: ConclusionSetting;
      readonly lowest_W: number;
      readonly percent: number;
      readonly at_Hz: number;
      readonly over_Hz: Band;
      readonly channel: number;
      /** Harmonics lie outside the measuring band somewhere. */
      readonly blind: boolean;
    }
  | {
      readonly code: 'held';
      readonly setting: ConclusionSetting;
      readonly nominal_Hz: number;
      readonly lowest_W: number;
      readonly seconds: number;
      /** Highest THD+N. */
      readonly percent: number;
    }
  | { readonly code: 'limited-by'; readonly place: ConclusionPlace; readonly cause: CauseCode }
  | { readonly code: 'check'; readonly state: CheckState; readonly items: readonly CheckItem[] }
  /** Something that follows from some readings and that another contradicts: it is not stated. */
  | { readonly code: 'contradicted'; readonly what: string; readonly reading: Witness }
  | { readonly code: 'claim'; readonly text: string; readonly verdict: Verdict; readonly stored: boolean }
  | { readonly code: 'claim-unreadable'; readonly why: string }
  | { readonly code: 'nothing-found'; readonly measured: number }
  | {
      readonly code: 'basis';
      readonly channel: number;
      readonly gain_dB: number;
      readonly power_W: number;
      readonly input_V: number;
      /** Nominal loads were assumed; nobody stated any uncertainty for part of the chain. */
      readonly assumes: readonly ('nominal-load' | 'uncalibrated')[];
    }
  | { readonly code: 'simulated' }
  | { readonly code: 'resume'; readonly run: number };

export type ConclusionCode = Said['code'];

/**
 * What part of the opening a conclusion is: what endangers or invalidates, the answer to what was asked, what stands beside
 * it, how sure it is, and what to do next.
 */
export type Role = 'warning' | 'answer' | 'beside' | 'certainty' | 'next';

/** Something that a run shows, with what it rests on and the sentence that says it. */
export type Conclusion = Said & {
  readonly role: Role;
  /** One or two sentences, for everybody. Documents draw none of their own. */
  readonly sentence: string;
  /** Numbers of the points that it rests on; empty where it rests on the run as a whole. */
  readonly points: readonly number[];
  /** Steps whose findings and readings it rests on. */
  readonly steps: readonly string[];
};
