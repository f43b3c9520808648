import { wrapText } from '../../document/text/wrap-text.js';
import { visibleText } from '../../units/visible-text.js';

/** Room that a prompt needs beside its question: the mark before it, and `(y/N) yes` after it. */
const BESIDE = 14;
const LEAST = 20;

/**
 * A question broken between words: prompts break a long line wherever it ends, also inside a figure that somebody is to
 * confirm.
 *
 * @param columns of the terminal
 */
export const questionLines = (question: string, columns: number): string =>
  wrapText(visibleText(question), Math.max(LEAST, columns - BESIDE));
