import type { ChainKind, RestatingStep } from './restating-step.js';

/** How far a restated figure can be leaned on, in words. */
export const CHAIN_WORDS: Readonly<Record<ChainKind, string>> = {
  exact: 'exact',
  estimate: 'an estimate',
  'upper-bound': 'an upper bound',
  'lower-bound': 'a lower bound',
  neither: 'neither an upper nor a lower bound',
  'not-computed': 'not computed',
};

/** `a lower bound`; behind an upper one `a lower bound by itself; after the steps before, neither ...`. */
export const stepKindWords = ({ kind, so_far }: RestatingStep): string =>
  kind === so_far
    ? CHAIN_WORDS[kind]
    : `${CHAIN_WORDS[kind]} by itself; after the steps before, ${CHAIN_WORDS[so_far]}`;

/** What a step rests on: `if the supply holds the voltage`. */
export const stepCondition = ({ kind, assumes }: RestatingStep): string =>
  `${kind === 'not-computed' ? 'since' : 'if'} ${assumes}`;
