/** A text that somebody reads, and where it stands. */
export interface Text {
  /** Path relative to the repository. */
  readonly file: string;
  /** Line on which it begins, from 1. */
  readonly line: number;
  /** Values that are filled in, and code between backticks, stand as one word: `VALUE`. */
  readonly text: string;
}

/** Stands for whatever is filled in when the text is printed. */
export const VALUE = 'VALUE';

/** The line, from 1, of a place in a source. */
export function lineOf(source: string, at: number): number {
  let line = 1;
  for (let i = source.indexOf('\n'); i >= 0 && i < at; i = source.indexOf('\n', i + 1)) line += 1;
  return line;
}
