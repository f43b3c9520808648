import { BenchFault, type Explanation, InputError } from './ohmest-error.js';

/**
 * A cause as an error class: its stable code, and what it tells of the particulars. The name of the class follows from the
 * code (`UNIT_LABEL_INVALID` is UnitLabelInvalid).
 *
 * ```ts
 * export const UnitLabelInvalid = inputError('UNIT_LABEL_INVALID', (what: string) => ({ where: 'unit label', what }));
 * throw new UnitLabelInvalid('it is empty');
 * ```
 */
export const inputError = <Particulars extends readonly unknown[]>(
  code: string,
  explain: (...particulars: Particulars) => Told,
) => {
  const Cause = class extends InputError {
    readonly code = code;
    constructor(...particulars: Particulars) {
      const { cause, ...explanation } = explain(...particulars);
      super(explanation, cause === undefined ? undefined : { cause });
    }
  };
  return named(Cause, code);
};

/** The same for a fault of the bench. */
export const benchFault = <Particulars extends readonly unknown[]>(
  code: string,
  explain: (...particulars: Particulars) => Told,
) => {
  const Cause = class extends BenchFault {
    readonly code = code;
    constructor(...particulars: Particulars) {
      const { cause, ...explanation } = explain(...particulars);
      super(explanation, cause === undefined ? undefined : { cause });
    }
  };
  return named(Cause, code);
};

/** What an error tells, and the error that it came from where there was one. */
export type Told = Explanation & { readonly cause?: unknown };

/** Explains a cause that is worded where it is found, since no two of its places have the same particulars. */
export const asTold = (told: Told): Told => told;

function named<Class extends object>(cause: Class, code: string): Class {
  const name = code
    .split('_')
    .map((word) => word[0] + word.slice(1).toLowerCase())
    .join('');
  return Object.defineProperty(cause, 'name', { value: name });
}
