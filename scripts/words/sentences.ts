/** More words than this nobody follows when a sentence is read aloud. */
export const MOST_WORDS = 25;

/** Statements of SQL, rules of style sheets, scripts: read by machines. */
const CODE = /\b(SELECT|CREATE (TABLE|VIEW|INDEX)|ALTER TABLE|WHERE) |=> \{?|[\w)]\{[\w-]+:/;

/** What ends a sentence, or a part that could be one, with a capital or a quote behind it: "as in 0.1 %" and "e.g. this" end none. */
const END = /(?<=[.!?]["')]*) (?=[\p{Lu}"'(]|ohmest )|; /u;

/** A number with its unit is one word. */
const FIGURE = /(\d) (?=(%|[kM]?Hz|[mk]?W|dB|m?V|ohm)(?![\p{L}\d]))/gu;

const wordsIn = (sentence: string): number =>
  sentence
    .replace(FIGURE, '$1')
    .split(/\s+/)
    .filter((word) => /[\p{L}\d]/u.test(word)).length;

/** The sentences of a text that have more than `MOST_WORDS` words (a question may have more: it says what it must), with their number of words. */
export function longSentences(text: string): { readonly sentence: string; readonly words: number }[] {
  if (CODE.test(text)) return [];
  return text
    .replace(/<[^<>]+>/g, '\n\n')
    .split(/\n\s*\n/)
    .flatMap((paragraph) => paragraph.replace(/\s+/g, ' ').split(END))
    .map((sentence) => ({ sentence: sentence.trim(), words: wordsIn(sentence) }))
    .filter(({ sentence, words }) => words > MOST_WORDS && !sentence.endsWith('?'));
}
