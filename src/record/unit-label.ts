import { inputError } from '../errors/error-table.js';

/** A unit cannot go by this label. */
export const UnitLabelInvalid = inputError('UNIT_LABEL_INVALID', (what: string) => ({
  where: 'unit label',
  what,
  mend: `Give 1 to ${LONGEST} printable characters, for example "blue box, serial 7"`,
}));

const LONGEST = 200;

/**
 * The label a unit is stored under: `text` without space around it, so that one unit does not become two.
 * Any writing system will do. Throws UnitLabelInvalid when nothing is left, when it is longer than 200
 * characters, or when it holds control characters or broken Unicode, which no two programs show alike.
 */
export function unitLabel(text: string): string {
  const label = text.trim();
  const length = [...label].length;
  if (length === 0) throw new UnitLabelInvalid('it is empty');
  if (length > LONGEST) throw new UnitLabelInvalid(`it has ${length} characters`);
  const unprintable = /[\p{Cc}\p{Cs}\p{Zl}\p{Zp}]/u.exec(label);
  if (unprintable) {
    const code = unprintable[0].codePointAt(0)?.toString(16).toUpperCase().padStart(4, '0');
    throw new UnitLabelInvalid(
      `it holds the unprintable character U+${code} at position ${unprintable.index + 1}`,
    );
  }
  return label;
}
