import { BenchFault, type Explanation, InputError, type OhmestError } from './ohmest-error.js';

/** What an error tells, and the error that it came from where there was one. */
export type Told = Explanation & { readonly cause?: unknown };

/** A family of errors, which decides their exit status. */
type Family<Kind extends OhmestError> = abstract new (
  explanation: Explanation,
  options?: ErrorOptions,
) => Kind;

/**
 * Declares causes of a family, each as an error class: its stable code, and what it tells of the particulars. The name of the class
 * follows from the code (`UNIT_LABEL_INVALID` is UnitLabelInvalid).
 *
 * ```ts
 * export const UnitLabelInvalid = inputError('UNIT_LABEL_INVALID', (what: string) => ({ where: 'unit label', what }));
 * throw new UnitLabelInvalid('it is empty');
 * ```
 */
export const declaring =
  <Kind extends OhmestError>(Base: Family<Kind>) =>
  <Particulars extends readonly unknown[]>(
    code: string,
    explain: (...particulars: Particulars) => Told,
  ): (new (
    ...particulars: Particulars
  ) => Kind) => {
    // A class cannot be derived from a base whose type is left open: this one stands for all of them.
    const Cause = class extends (Base as unknown as Family<InputError>) {
      readonly code = code;
      constructor(...particulars: Particulars) {
        const { cause, ...explanation } = explain(...particulars);
        super(explanation, cause === undefined ? undefined : { cause });
      }
    };
    const name = code
      .split('_')
      .map((word) => word[0] + word.slice(1).toLowerCase())
      .join('');
    return Object.defineProperty(Cause, 'name', { value: name }) as unknown as new (
      ...particulars: Particulars
    ) => Kind;
  };

/** A cause that lies with the caller's input. */
export const inputError = declaring(InputError);

/** A cause that lies with the bench. */
export const benchFault = declaring(BenchFault);

/** Explains a cause that is worded where it is found, since no two of its places have the same particulars. */
export const asTold = (told: Told): Told => told;
