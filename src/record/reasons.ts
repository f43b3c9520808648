/**
 * Why a finding has no value, or only a bound. A code with the figures that belong to it; the sentences are made on
 * display (`document/model/reason-words.ts`).
 */
export type Reason =
  /** THD+N was above the limit at every level. */
  | { readonly code: 'never-below'; readonly best_percent: number; readonly best_W: number }
  /** THD+N kept the limit up to the end of the step; `end` says what ended it, `reached_W` what was delivered there. */
  | { readonly code: 'not-reached'; readonly end: SearchEnd; readonly reached_W: number }
  /** The same level gave something else when it was played again. */
  | {
      readonly code: 'changed';
      readonly first: { readonly power_W: number; readonly thdn_percent: number };
      readonly again: { readonly power_W: number; readonly thdn_percent: number };
    }
  /** The search ended because another channel was far into clipping. */
  | { readonly code: 'other-channel-clipped' }
  /** Not all driven channels were read at once, so there is no sum at one level. */
  | { readonly code: 'not-read-at-once' }
  /** There are too few readings to tell. */
  | { readonly code: 'too-few-readings' }
  /** THD+N never leaves the trend of the lower levels, or does so gradually. */
  | { readonly code: 'no-knee' }
  /** A sentence, as an earlier version kept it. */
  | { readonly code: 'in-words'; readonly text: string };

/** What ended a search from below. */
export type SearchEnd =
  /** The most that the step may ask for, and what set it. */
  | { readonly by: 'step-limit'; readonly limit_W: number }
  | { readonly by: 'load-rating'; readonly limit_W: number }
  /** The interface output reached full scale. */
  | { readonly by: 'interface-full-scale' }
  /** The output no longer followed the drive. */
  | { readonly by: 'output-stopped-following' }
  /** Ended from outside: the run was interrupted or stopped. */
  | { readonly by: 'cut-short' };

/** What belongs to a figure besides its value. */
export type Remark =
  | { readonly code: 'load-seen'; readonly low_ohm: number; readonly high_ohm: number }
  | { readonly code: 'load-warm'; readonly rise_K: number }
  /** A hold was interrupted after so long: no dips are known from before. */
  | { readonly code: 'interrupted'; readonly after_s: number }
  /** Samples were lost in a hold, and its level came up again at once. */
  | { readonly code: 'broke-off'; readonly after_s: number }
  | { readonly code: 'in-words'; readonly text: string };
