import { label } from '../../schema/fields.js';
import { quoted } from '../../units/parse.js';
import { OptionWrong } from '../terminal/option.js';

/** Longest name or label that a record takes. */
const LONGEST = 200;

/**
 * Makes sure, before anything is played, that a record will take a name as it was typed.
 *
 * @param from where it was typed, as in `--by`
 * @throws OptionWrong
 */
export function requireLabel(text: string | undefined, from: string): void {
  if (text === undefined || label(LONGEST).safeParse(text).success) return;
  throw new OptionWrong({
    what: `${from} ${quoted(text)} cannot stand in a record`,
    mend: `Write one line of 1 to ${LONGEST} characters, without control characters`,
  });
}
